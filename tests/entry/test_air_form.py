"""The form of air records: taken whole, asked about where the air is odd."""

from __future__ import annotations

from datetime import date

import pytest
from werkzeug.datastructures import MultiDict

from webapp.entry.air_form import AirForm
from webapp.look import Units

TODAY = date(2025, 3, 10)


def form(text: str, order: str = "year_first", units: Units = Units.METRIC, **more: str) -> AirForm:
    made = AirForm(MultiDict({"lines": text, "order": order} | more), units=units)
    made.validate()
    made.take(text, "Shed", TODAY)
    return made


def test_good_lines_are_taken() -> None:
    made = form("2024-05-01; 14.5; 71\n2024-05-02; 15; 70")
    assert len(made.read.measured) == 2
    assert made.question("open_shed") is None
    assert form("2024-05-01; 50; 71", units=Units.INCH).read.measured[0].temperature_c == 10


@pytest.mark.parametrize(
    ("text", "taken"),
    [("", False), ("2024-05-01; 14.5; 71", True), ("2024-05-01; 14.5; 71\nrubbish", False)],
)
def test_all_or_nothing(text: str, taken: bool) -> None:  # noqa: FBT001 - the answer
    made = AirForm(MultiDict({"lines": text, "order": "year_first"}), units=Units.METRIC)
    assert made.validate()
    assert made.take(text, "Shed", TODAY) is taken


def test_an_order_nobody_offered_is_refused() -> None:
    made = form("2024-05-01; 14.5; 71", order="backwards")
    assert "order" in made.errors
    assert made.read.measured == []


@pytest.mark.parametrize(
    ("line", "kind", "asked"),
    [
        ("2024-05-01; 130; 0", "open_shed", True),
        ("2024-05-01; 68; 50", "unheated", True),
        ("2024-05-01; 68; 50", "chamber", False),
        ("2024-05-01; 68; 50", "heated", False),
        ("2024-05-01; -46; 50", "outdoors", True),
        ("2024-05-01; 20; 0", "chamber", True),
        ("2024-05-01; 60; 2", "outdoors", False),
    ],
)
def test_odd_air_is_asked_about(line: str, kind: str, asked: bool) -> None:  # noqa: FBT001
    assert (form(line).question(kind) is not None) is asked
    assert form(line, sure="y").question(kind) is None


def test_the_question_names_the_first_and_counts_the_rest() -> None:
    question = form("2024-05-01; 20; 50\n2024-05-02; 68; 50\n2024-05-03; 70; 50").question(
        "outdoors"
    )
    assert question is not None
    assert question.startswith("Line 2 tells of 68 °C and 50 %, and 1 more are as odd.")
