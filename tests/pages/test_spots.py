from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

import pytest

from tests import make
from webapp.look import Dates, Look, Units
from webapp.pages.spots import said_of
from webapp.records.batch import open_batch
from webapp.yard.reading_spots import MeterUse, ReadingSpots, Shallow, Taken

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from tests.make_shed import Shed
    from webapp.records import Database

HEAD = "What the readings can decide"
LOOK = Look()
PINS = MeterUse("yellow pins", "pin", 12.0, True, 5)  # noqa: FBT003
UNKNOWN = MeterUse(None, None, None, None, 5)


def _taken(
    boards: int = 5,
    spots: dict[str, int] | None = None,
    shallow: Shallow | None = None,
    meter: MeterUse = PINS,
    over: int = 0,
) -> Taken:
    """A round of one reading a board."""
    where = spots or {"face": boards}
    return Taken(
        last_on=date(2025, 2, 3),
        days=1,
        boards=boards,
        readings=sum(where.values()),
        spots=where,
        depths={"": boards},
        meters=(meter,),
        at_sides=where.get("end", 0) + where.get("edge", 0),
        over=over,
        shallow=shallow or Shallow(0),
    )


def _decides(taken: Taken, count: int, look: Look = LOOK) -> str:
    return said_of(ReadingSpots(count, taken, replace(taken, days=6)), look).decides


@pytest.mark.parametrize(
    ("taken", "count", "said"),
    [
        (
            _taken(spots={"end": 5}),
            60,
            (
                "5 of 60 boards read, all near an end: ends dry first, so this cannot say that the "
                "stack has levelled off."
            ),
        ),
        (
            _taken(spots={"end": 4, "face": 1}),
            60,
            (
                "5 of 60 boards read, mostly near an end: ends dry first, so this can hardly say "
                "that the stack has levelled off."
            ),
        ),
        (
            _taken(spots={"edge": 3, "end": 2}),
            60,
            (
                "5 of 60 boards read, all at an edge or end: these dry first, so this cannot say "
                "that the stack has levelled off."
            ),
        ),
        (
            _taken(spots={"edge": 3, "face": 2}),
            60,
            (
                "5 of 60 boards read, mostly at an edge or end: these dry first, so this can "
                "hardly say that the stack has levelled off."
            ),
        ),
        (
            _taken(shallow=Shallow(5, 8.0, 52.0)),
            5,
            (
                "Needles 8 mm long in boards 52 mm thick read the outside, which dries first: "
                "while it still loses, the inside is likely wetter."
            ),
        ),
        (
            _taken(over=3, shallow=Shallow(5)),
            5,
            (
                "5 of 5 boards read, mostly over what a meter can tell: this says only that they "
                "are wet."
            ),
        ),
        (
            _taken(over=2, shallow=Shallow(5)),
            5,
            "Read at the outside, which dries first: the inside is likely wetter.",
        ),
        (
            _taken(2),
            60,
            (
                "2 of 60 boards read: a wet one may be missed. Read at least 4, the wettest and "
                "the thickest among them."
            ),
        ),
        (
            _taken(2),
            3,
            (
                "2 of 3 boards read: a wet one may be missed. Read at least 3, the wettest and "
                "the thickest among them."
            ),
        ),
        (
            _taken(spots={"": 5}),
            5,
            (
                "5 of 5 boards read, where on them is not noted: edges and ends dry first, and "
                "readings there could not say that it has levelled off."
            ),
        ),
        (
            _taken(meter=UNKNOWN),
            5,
            (
                "5 of 5 boards read, the meter not noted: its numbers are taken as they stand, and "
                "show a loss better than they show how dry it is."
            ),
        ),
        (
            _taken(spots={"face": 4, "end": 1}),
            5,
            (
                "5 of 5 boards read; readings at an edge or end, here 1, never decide alone, the "
                "others can."
            ),
        ),
        (
            _taken(),
            60,
            (
                "5 of 60 boards read, away from edges and ends: this can decide for them; boards "
                "not read may lie two or three points off."
            ),
        ),
        (_taken(), 5, "5 of 5 boards read, away from edges and ends: this can decide."),
        (_taken(1), 1, "1 of 1 boards read, away from edges and ends: this can decide."),
    ],
)
def test_one_sentence_tells_what_stands_in_the_way(taken: Taken, count: int, said: str) -> None:
    assert _decides(taken, count) == said


def test_one_day_alone_cannot_say_whether_wood_still_loses() -> None:
    taken = _taken()
    assert said_of(ReadingSpots(5, taken, taken), LOOK).decides == (
        "5 of 5 boards read, on one day only: this can say how wet they were, not whether they "
        "still lose."
    )


def test_sizes_and_days_are_told_as_they_are_liked() -> None:
    look = Look(Units.INCH, Dates.ISO)
    short = MeterUse("pins", "pin", 7.9375, False, 5)  # noqa: FBT003
    taken = _taken(shallow=Shallow(5, 7.9375, 50.8), meter=short)
    words = said_of(ReadingSpots(5, taken, taken), look)
    assert words.decides.startswith("Needles 5/16 in long in boards 2 in thick read the outside")
    facts = dict(words.facts)
    assert facts["last round"] == "2025-02-03: 5 of 5 boards"
    assert facts["with"] == "pins, pin meter, needles of 5/16 in, bare"


def test_the_facts_name_spots_depths_and_meters() -> None:
    last = _taken(spots={"face": 4, "": 1})
    facts = dict(said_of(ReadingSpots(8, last, last), LOOK).facts)
    assert facts == {
        "last round": "3 February 2025: 5 of 8 boards",
        "where": "face 4, not noted 1",
        "how deep": "not noted",
        "with": "yellow pins, pin meter, needles of 12 mm, insulated",
        "in all": "5 readings of 5 boards on 1 day: face 4, not noted 1",
    }
    unknown = said_of(ReadingSpots(8, _taken(meter=UNKNOWN), last), LOOK)
    assert dict(unknown.facts)["with"] == "meter not noted"
    plain = MeterUse("pad", "pinless", None, None, 5)
    assert dict(said_of(ReadingSpots(8, _taken(meter=plain), last), LOOK).facts)["with"] == (
        "pad, pinless meter"
    )
    no_needle = MeterUse("old", "pin", None, None, 5)
    found = said_of(ReadingSpots(8, _taken(meter=no_needle), last), LOOK)
    assert dict(found.facts)["with"] == "old, pin meter, needle length not noted"


def test_a_stack_that_nobody_read_says_so() -> None:
    words = said_of(ReadingSpots(8, None, None), LOOK)
    assert words.decides == "None of its boards has been read yet."
    assert words.facts == ()


def test_the_stack_page_tells_where_it_was_read(client: FlaskClient, shed: Shed) -> None:
    page = client.get(f"/stacks/{shed.stack.code}").text
    section = page.split(HEAD)[1].split("</section>")[0]
    assert "3 of 4 boards read: a wet one may be missed. Read at least 4" in section
    assert "3 February 2025: 3 of 4 boards" in section
    assert "yellow pins, pin meter, needle length not noted" in section
    assert "18 readings of 3 boards on 6 days: not noted" in section


def test_a_stack_without_readings_or_boards(client: FlaskClient, sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", make.A_MOMENT)
        unread, empty = make.make_stack(session), make.make_stack(session)
        make.make_board(session, unread)
    assert "None of its boards has been read yet." in client.get(f"/stacks/{unread.code}").text
    answer = client.get(f"/stacks/{empty.code}")
    assert answer.status_code == 200
    assert HEAD not in answer.text


def test_a_meter_with_signs_in_its_name_stays_a_name(
    client: FlaskClient, sqlite_database: Database
) -> None:
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", make.A_MOMENT)
        stack = make.make_stack(session)
        meter = make.make_meter(session, name="<i>50 %(s)s</i>")
        make.make_reading(session, make.make_board(session, stack), meter=meter)
    text = client.get(f"/stacks/{stack.code}").text
    assert "<i>50" not in text
    assert "50 %(s)s" in text or "50\u00a0%(s)s" in text
