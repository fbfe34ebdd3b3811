// Draws the year of a place while its months are typed; the server works it out.
"use strict";

(() => {
  const holder = document.querySelector("[data-year]");
  const form = holder.querySelector("form");
  const sheet = document.getElementById("year");
  const rows = [...form.querySelectorAll(".months tbody tr:not(.told)")];
  let waiting = 0;
  let latest = 0;

  async function draw() {
    latest += 1;
    const mine = latest;
    const typed = new URLSearchParams();
    for (const [name, value] of new FormData(form)) {
      if (/^(kind|air_of|temp_..|rh_..)$/.test(name)) typed.set(name, value);
    }
    try {
      const answer = await fetch(`${holder.dataset.year}?${typed}`);
      const drawn = await answer.text();
      if (answer.ok && mine === latest) show(drawn);
    } catch {
      // No answer: the drawing before stays, and saving will tell.
    }
  }

  function show(drawn) {
    sheet.innerHTML = drawn;
    const words = sheet.querySelector("[data-months]").dataset.months.split("|");
    rows.forEach((row, month) => {
      row.querySelector("[data-month]").textContent = words[month];
    });
  }

  function soon() {
    window.clearTimeout(waiting);
    waiting = window.setTimeout(draw, 200);
  }

  // Figures copied from a table fill the months from here on, down, or down and across.
  function spread(event) {
    const cell = event.target.closest(".months td");
    const text = event.clipboardData.getData("text").trim();
    if (!cell || !/\d[\s;]+[-\u2212\d]/.test(text)) return;
    event.preventDefault();
    let lines = text.split(/\r?\n/).map((line) => line.trim().split(/[\s;]+/));
    if (lines.length === 1) lines = lines[0].map((figure) => [figure]);
    const down = rows.indexOf(cell.parentElement);
    const across = cell.cellIndex - 1;
    lines.forEach((figures, line) => {
      const fields = rows[down + line] ? rows[down + line].querySelectorAll("input") : [];
      figures.forEach((figure, at) => {
        if (fields[across + at]) fields[across + at].value = figure;
      });
    });
    soon();
  }

  form.addEventListener("input", soon);
  form.addEventListener("change", soon);
  form.addEventListener("paste", spread);
  holder.querySelector("[data-draw]").hidden = true;
})();
