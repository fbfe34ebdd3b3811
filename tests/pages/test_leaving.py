from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

import pytest

from tests import make
from tests.make_shed import TODAY, Shed
from webapp.look import Units
from webapp.pages.leaving import LeavingWords, said_of
from webapp.records.batch import open_batch
from webapp.yard.weigh_leaving import BoardThen, Leaving, Prospect

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from webapp.records import Database

SIX_WEEKS, AUGUST, NEXT_YEAR = date(2025, 4, 21), date(2025, 8, 24), date(2026, 3, 10)
HEAD = "Does it pay to leave it?"


def _board(now: float, then: float, mark: str = "W2", half: float = 1.2) -> BoardThen:
    return BoardThen(mark, now, then, then - half, then + half)


def _then(
    now: float,
    then: float,
    on: date = SIX_WEEKS,
    place: str | None = None,
    kind: str | None = None,
    wetter: float = 0.4,
) -> Prospect:
    """The middle board now and then; the wettest holds a little more."""
    middle, wettest = _board(now, then), _board(now + wetter, then + wetter, "W7")
    return Prospect(on, middle, wettest, place, kind)


def _leaving(now: float = 15.0, *, driest: float = 13.4, year_on: float = 13.8) -> Leaving:
    """A stack in an open shed in March."""
    return Leaving(
        as_of=TODAY,
        kind="open_shed",
        boards=8,
        read=True,
        thickest_mm=27.0,
        target_pct=None,
        six_weeks=_then(now, now - 0.4),
        driest=_then(now, driest, AUGUST),
        year_on=_then(now, year_on, NEXT_YEAR),
        summer=True,
        summer_ahead=True,
        mended=None,
        elsewhere=(),
        assumed=None,
        room_pct=8.6,
    )


def _all_of(words: LeavingWords) -> str:
    return " ".join([words.answer, *words.more, *words.notes])


def test_another_summer_is_told_with_its_gain_its_range_and_its_day() -> None:
    assert said_of(_leaving()).answer == (
        "Another summer here would take about 1.5 points off, to about 13 % (12 to 15 %), "
        "by late August."
    )


@pytest.mark.parametrize(
    ("driest", "said"),
    [
        (14.45, "about half a point"),
        (14.0, "about 1 point off"),
        (12.2, "about 3 points"),
        (8.6, "about 6 points"),
    ],
)
def test_gains_are_told_as_finely_as_they_are_known(driest: float, said: str) -> None:
    assert said in said_of(_leaving(driest=driest, year_on=driest)).answer


def test_less_than_half_a_point_is_said_to_gain_nothing() -> None:
    said = said_of(_leaving(driest=14.6, year_on=14.9))
    assert said.answer == (
        "Leaving it here gains nothing more: another summer takes off less than half a point."
    )
    indoors = replace(_leaving(driest=14.6, year_on=14.9), summer=False, summer_ahead=False)
    assert "a whole year takes off less than half a point" in said_of(indoors).answer


def test_a_wettest_board_that_gains_alone_is_named() -> None:
    weighed = replace(
        _leaving(),
        driest=Prospect(AUGUST, _board(15.0, 14.8), _board(19.0, 16.0, "W7")),
        year_on=_then(15.0, 14.9, NEXT_YEAR),
    )
    assert said_of(weighed).answer == (
        "Another summer here would take less than half a point off the middle board, but about "
        "3 points off the wettest, W7."
    )


def test_what_summer_takes_and_winter_brings_back_is_told() -> None:
    said = _all_of(said_of(_leaving(driest=13.0, year_on=14.7)))
    assert "a year from today it would be at about 15 %" in said
    assert "bring it in" in said
    heated = replace(_leaving(driest=13.0, year_on=14.7), kind="heated", summer=False)
    assert "Use it, or wrap it" in _all_of(said_of(heated))
    assert "Most of that" not in _all_of(said_of(_leaving(driest=13.0, year_on=13.5)))


def test_very_wet_wood_is_told_without_points() -> None:
    assert said_of(_leaving(46.0, driest=15.4)).answer == (
        "Another summer here would take it from over 30 % to about 15 % (14 to 17 %), "
        "by late August."
    )
    assert said_of(_leaving(90.0, driest=41.0)).answer == (
        "Leave it: it will likely be over 30 % still by late August."
    )


def test_trouble_is_to_be_mended_first() -> None:
    weighed = replace(
        _leaving(driest=14.8, year_on=15.2), mended=_then(15.0, 11.0, AUGUST), summer=True
    )
    said = said_of(weighed)
    assert said.answer == ("As it stands, leaving it here gains nothing: first mend what is wrong.")
    assert said.more[0].startswith(
        "With that mended, another summer here would take about 4 points off, to about 11 %"
    )
    wetter = replace(weighed, year_on=_then(15.0, 17.0, NEXT_YEAR))
    assert "it only gets wetter here" in said_of(wetter).answer
    slowly = replace(weighed, driest=_then(15.0, 14.0, AUGUST))
    assert "only about 1 point off" in said_of(slowly).answer
    assert any("mended" in row.name for row in said.rows)


def test_the_best_place_is_advised_with_its_caution() -> None:
    heated = _then(15.0, 9.4, place="Store", kind="heated")
    barn = _then(15.0, 14.6, place="Barn", kind="unheated")
    said = _all_of(said_of(replace(_leaving(), elsewhere=(heated, barn))))
    assert "Six weeks in Store would take about 6 points off, to about 9 % (8 to 11 %)." in said
    assert "no live beetles" in said
    assert "boards this thick check" not in said
    thick = replace(_leaving(), elsewhere=(heated, barn), thickest_mm=52.0)
    assert "Go slowly: boards this thick check." in _all_of(said_of(thick))
    kiln = replace(_leaving(), elsewhere=(replace(heated, kind="chamber"),))
    assert "keep to the schedule" in _all_of(said_of(kiln))


def test_a_place_that_takes_off_no_more_than_this_one_is_not_advised() -> None:
    barn = _then(15.0, 14.3, place="Barn", kind="unheated")
    said = _all_of(said_of(replace(_leaving(), elsewhere=(barn,))))
    assert "Six weeks in Barn" not in said
    assert "Six weeks in any other place of this yard would take off no more." in said


@pytest.mark.parametrize("now", [20.6, 24.0, 46.0])
def test_wet_wood_is_not_sent_into_heat(now: float) -> None:
    heated = _then(now, 9.4, place="Store", kind="heated")
    barn = _then(now, now - 3.0, place="Barn", kind="unheated")
    said = _all_of(said_of(replace(_leaving(now), elsewhere=(heated, barn))))
    assert "Six weeks in Store" not in said
    assert "too wet yet for a heated room: bring it in only below 20 %" in said
    assert "slowly" in said
    assert "live beetles" in said
    assert ("Six weeks in Barn" in said) == (now < 30)


def test_one_wet_board_keeps_the_stack_out_of_the_heat() -> None:
    heated = _then(19.0, 9.4, place="Store", kind="heated", wetter=3.0)
    weighed = replace(_leaving(19.0), six_weeks=_then(19.0, 18.0, wetter=3.0), elsewhere=(heated,))
    said = _all_of(said_of(weighed))
    assert "Its wettest board, W7, is too wet yet for a heated room" in said
    assert "Six weeks in Store" not in said


def test_wet_wood_that_stands_in_heat_already_is_to_be_looked_after() -> None:
    said = _all_of(said_of(replace(_leaving(24.0), kind="heated")))
    assert "Above 20 % wood checks easily in a heated room" in said
    assert "bring it in only" not in said
    assert "checks easily" not in _all_of(said_of(replace(_leaving(15.0), kind="heated")))


def test_an_assumed_room_is_said_to_be_assumed() -> None:
    room = _then(15.0, 10.0, kind="heated")
    said = said_of(replace(_leaving(), assumed=room))
    assert "Six weeks in a heated room would take about 5 points off" in _all_of(said)
    assert said.notes == (
        (
            "This yard has no heated place; we assumed a room at 20 °C and 45 % humidity all year, "
            "where wood ends at about 8.6 %."
        ),
    )
    (in_inches,) = said_of(replace(_leaving(), assumed=room), None, Units.INCH).notes
    assert "a room at 68 °F and" in in_inches


@pytest.mark.parametrize(
    ("target", "said"),
    [
        (16.0, "For 16 % it likely needs to lose no more."),
        (15.1, "it would be dry enough for 15.1 %, the wettest board too."),
        (14.5, "it would be about dry enough for 14.5 %."),
        (13.5, "but not the wettest board, W7."),
        (12.0, "it would still be too wet for 12 %."),
    ],
)
def test_what_it_is_dried_for_is_held_against_it(target: float, said: str) -> None:
    assert said in _all_of(said_of(replace(_leaving(), target_pct=target)))


def test_the_numbers_stand_in_a_table() -> None:
    heated = _then(15.0, 9.4, place="Store", kind="heated")
    words = said_of(replace(_leaving(), elsewhere=(heated,), assumed=_then(15.0, 10.0)))
    assert words.heads == ("middle board, W2", "wettest board, W7")
    assert [row.name for row in words.rows] == [
        "today",
        "in six weeks, here",
        "at its driest here, late August",
        "a year from today, here",
        "after six weeks in Store",
        "after six weeks in a heated room",
    ]
    assert words.rows[0].cells[0].moisture == "15\u00a0%"
    late = replace(_leaving(), driest=_then(15.0, 13.8, date(2026, 3, 8)))
    assert "a year from today, here" in [row.name for row in said_of(late).rows]
    assert not any("driest" in row.name for row in said_of(late).rows)
    assert words.rows[4].cells[0].likely == "8\u00a0to\u00a011\u00a0%"


def test_one_board_has_one_column_and_wide_ranges_end_open() -> None:
    one = Prospect(AUGUST, _board(36.0, 25.0, half=9.0), _board(36.0, 25.0, half=9.0))
    words = said_of(replace(_leaving(), driest=one, six_weeks=one, year_on=one))
    assert words.heads == ("wettest board, W2",)
    assert words.rows[0].cells[0].moisture == "over\u00a030\u00a0%"
    assert words.rows[1].cells[0].likely == "16 % or more"
    assert "(16 % or more)" in words.answer


def test_what_nobody_read_is_said_to_be_a_guess() -> None:
    assert "Not read yet" in said_of(replace(_leaving(), read=False)).notes[0]


def test_the_stack_page_answers(client: FlaskClient, shed: Shed) -> None:
    page = client.get(f"/stacks/{shed.stack.code}").text
    section = page.split(HEAD)[1].split("</section>")[0]
    assert "Another summer here would take" in section
    assert re.search("we assumed a room at 20.°C and 45.% humidity", section)
    assert "middle board, W" in section
    assert section.count('<th scope="row">') >= 5


def test_an_empty_stack_is_not_asked_about(client: FlaskClient, sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", make.A_MOMENT)
        stack = make.make_stack(session)
    answer = client.get(f"/stacks/{stack.code}")
    assert answer.status_code == 200
    assert HEAD not in answer.text


def test_a_place_with_signs_in_its_name_stays_a_name(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", make.A_MOMENT)
        make.make_place(session, name="<b>100 % “loft”</b> %(x)s")
    answer = client.get(f"/stacks/{shed.stack.code}")
    assert answer.status_code == 200
    assert "<b>100" not in answer.text
    assert "%(x)s" in answer.text
