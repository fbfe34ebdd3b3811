// Draws the chart that lies on the page as data, in the colours of day or night.
"use strict";

(() => {
  const holder = document.querySelector("[data-chart]");
  const pick = document.querySelector("[data-pick]");
  const text = document.getElementById(holder.dataset.chart).textContent;
  const night = window.matchMedia("(prefers-color-scheme: dark)");
  const touch = window.matchMedia("(pointer: coarse)");

  function told() {
    const dark = JSON.parse(holder.dataset.dark);
    const recolour = (_key, value) =>
      night.matches && typeof value === "string" && Object.hasOwn(dark, value) ? dark[value] : value;
    return JSON.parse(text, recolour);
  }

  function stand_out(traces) {
    const wanted = pick ? pick.value : "";
    for (const trace of traces) {
      const board = trace.meta && trace.meta.board;
      trace.opacity = wanted && board && board !== wanted ? 0.12 : 1;
    }
    return traces;
  }

  function draw() {
    const { data, layout } = told();
    if (holder.clientWidth < 480) {
      layout.xaxis.nticks = 4;
      for (const trace of data) if (trace.marker) trace.marker.size *= 0.8;
    }
    // A finger on the chart moves the page; a mouse draws a frame to look closer.
    layout.dragmode = touch.matches ? false : "zoom";
    window.Plotly.react(holder, stand_out(data), layout, {
      displayModeBar: false,
      responsive: true,
      scrollZoom: false,
    });
  }

  holder.replaceChildren();
  draw();
  night.addEventListener("change", draw);
  touch.addEventListener("change", draw);
  if (pick) {
    pick.closest("[hidden]").hidden = false;
    pick.addEventListener("change", draw);
  }
})();
