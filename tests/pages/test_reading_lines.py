from datetime import date

import pytest
from sqlalchemy.orm import Session

from tests import make
from webapp.look import PLAIN, Dates, Look, Units
from webapp.pages.board_facts import facts_of
from webapp.pages.lots import lots_of
from webapp.pages.reading_lines import ReadingLine, reading_lines
from webapp.records import Board


def line_of(session: Session, board: Board, look: Look = PLAIN) -> ReadingLine:
    (line,) = reading_lines(session, board, look)
    return line


def test_the_way_from_shown_to_corrected_is_told(session: Session) -> None:
    board = make.make_board(session, species="white fir")
    meter = make.make_meter(
        session, name="old pins", scale="douglas_fir", temperature="not_compensated"
    )
    make.make_reading(
        session,
        board,
        shown="15",
        value=15.0,
        meter=meter,
        wood_temperature_c=5.0,
        spot="end",
        read_by="Odile",
        note="near a knot",
    )
    line = line_of(session, board)
    assert line.shown == "15"
    assert line.corrected.endswith(" %")
    assert line.rule.startswith("wood at 5 °C: +")
    in_inches = line_of(session, board, Look(Units.INCH))
    assert in_inches.rule == line.rule.replace("5 °C", "41 °F")
    assert "species: +" in line.rule
    assert "typical, unverified" in line.rule
    assert "at an edge or end, so it never decides alone" in line.rule
    assert line.rule.endswith("old pins; end; read by Odile; near a knot")
    assert [source.split(":")[0] for source in line.sources] == ["Temperature", "Species"]
    assert all("James 1988" in source for source in line.sources)
    assert "Remembered" in line.sources[1]


def test_a_wood_without_figures_is_told(session: Session) -> None:
    board = make.make_board(session, species="black locust")
    make.make_reading(session, board, meter=make.make_meter(session, scale="douglas_fir"))
    assert "no figures for this wood" in line_of(session, board).rule


def test_a_missing_meter_and_a_missing_temperature_are_told(session: Session) -> None:
    bare = make.make_board(session)
    make.make_reading(session, bare)
    assert line_of(session, bare).rule == "meter not noted, so taken as it stands"
    assert line_of(session, bare).sources == ()
    cold = make.make_board(session)
    meter = make.make_meter(session, name="old pins", temperature="not_compensated")
    make.make_reading(session, cold, meter=meter)
    rule = line_of(session, cold).rule
    assert rule == "wood temperature not noted, so not corrected for it; old pins"


@pytest.mark.parametrize(
    ("given", "corrected"),
    [
        ({"shown": ">30", "value": 30.0, "over": True}, "over 30.0 %"),
        ({"shown": "<6", "value": 6.0, "under": True}, "under 6.0 %"),
        ({"shown": "12,4", "value": 12.4}, "12.4 %"),
    ],
)
def test_out_of_range_stays_a_limit(
    session: Session, given: dict[str, object], corrected: str
) -> None:
    board = make.make_board(session)
    make.make_reading(session, board, **given)
    assert line_of(session, board).corrected == corrected


def test_a_strike_is_told_with_its_day_and_reason(session: Session) -> None:
    board = make.make_board(session)
    make.make_reading(session, board).strike(make.A_MOMENT, "keeper", "slip")
    assert line_of(session, board).struck == "Struck out on 4 May 2024: slip"
    iso = Look(dates=Dates.ISO)
    assert line_of(session, board, iso).struck == "Struck out on 2024-05-04: slip"


def test_facts_tell_log_turn_and_both_ends(session: Session) -> None:
    board = make.make_board(
        session,
        log=make.make_log(session, mark="L7"),
        turn="3 of 9",
        width_mm=200.0,
        width_end_mm=260.0,
        length_mm=2400.0,
        sawn_on=date(2024, 5, 4),
        grain="quarter",
    )
    facts = dict(facts_of(board, None, PLAIN))
    assert facts["log"] == "L7, turn 3 of 9"
    assert facts["rough size"] == "27 × 200–260 mm × 2.4 m, 0.015 m³"
    assert facts["sawn on"] == "4 May 2024"
    assert facts["how sawn"] == "quarter"
    inches = dict(facts_of(board, None, Look(Units.INCH, Dates.MONTH_FIRST)))
    assert inches["rough size"] == "1 1/16 × 7 7/8 – 10 1/4 in × 7 ft 10 1/2 in, 6.3 bd ft"
    assert inches["sawn on"] == "May 4, 2024"


def test_nothing_fit_makes_no_lots() -> None:
    assert lots_of([], Units.METRIC) == []
