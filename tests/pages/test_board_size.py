"""Size and weight of a board: now and when dry, and what is said where it is dry already."""

from datetime import date

import pytest
from sqlalchemy.orm import Session

from tests import make
from webapp.drying.verdict import Fit, State, Verdict
from webapp.look import Units
from webapp.pages.board_size import SizeTable, size_table
from webapp.records import Board
from webapp.yard.judge_stack import BoardVerdict

NAN = float("nan")
DRIEST_PCT = 15.0


def said(target_pct: float | None, moisture_pct: float, half_pct: float = 1.0) -> BoardVerdict:
    ends = (moisture_pct - half_pct, moisture_pct + half_pct)
    verdict = Verdict(
        State.DRYING, 0.9, moisture_pct, *ends, NAN, 18.0, Fit.NO, NAN, NAN, NAN, "drying"
    )
    return BoardVerdict("W", "W1", 1, date(2025, 3, 10), verdict, target_pct, None, None)


def table(
    board: Board, target_pct: float | None, moisture_pct: float, units: Units = Units.METRIC
) -> SizeTable:
    return size_table(board, said(target_pct, moisture_pct), DRIEST_PCT, units)


@pytest.fixture
def board(session: Session) -> Board:
    """A white oak board of 0.01 m3: 5.6 % radial, 10.5 % tangential, basic density 0.60."""
    return make.make_board(
        session, thickness_mm=25.0, width_mm=200.0, length_mm=2000.0, grain="flat"
    )


def test_a_flat_sawn_board_shrinks_and_lightens_as_the_handbook_has_it(board: Board) -> None:
    # Totals green to oven-dry of FPL-GTR-190, Table 4-3, down to 12 of 30 %: six tenths of them;
    # dry wood 6.0 kg by FPL-GTR-282, Table 5-3a.
    found = table(board, 12.0, 60.0)
    assert found.heads == ("now, at over 30 %", "when dry, at 12 %")
    assert dict(found.rows) == {
        "thickness": ("25 mm", "24 mm"),
        "width": ("200 mm", "187 mm"),
        "length": ("2 m", "2 m"),
        "weight, about": ("9.5–9.7 kg", "6.7 kg"),
    }


def test_what_is_over_thirty_percent_weighs_no_less_than_at_thirty(board: Board) -> None:
    # 6.0 kg of dry wood: 7.8 kg at 30 %, 9.6 kg at 60 %.
    found = size_table(board, said(12.0, 40.0, half_pct=20.0), DRIEST_PCT, Units.METRIC)
    assert dict(found.rows)["weight, about"][0] == "7.8–9.6 kg"


def test_inches_and_pounds(board: Board) -> None:
    found = dict(table(board, 12.0, 20.0, Units.INCH).rows)
    # At 20 % a third of 10.5 % is gone from 200 mm: 193 mm.
    assert found["width"] == ("7 5/8 in", "7 3/8 in")
    assert found["length"] == ("6 ft 6 3/4 in",) * 2
    assert found["weight, about"] == ("16 lb", "15 lb")


@pytest.mark.parametrize(
    ("grain", "told"), [(None, "not noted"), ("mixed", "mixed"), ("quarter", None), ("flat", None)]
)
def test_grain_that_runs_either_way_leaves_a_span(
    session: Session, grain: str | None, told: str | None
) -> None:
    board = make.make_board(session, thickness_mm=30.0, width_mm=200.0, grain=grain)
    found = table(board, 12.0, 60.0)
    dry = [cells[-1] for _name, cells in found.rows]
    assert (dry == ["28–29 mm", "187–193 mm"]) == (told is not None)
    assert any(told in remark for remark in found.remarks) if told else not found.remarks


def test_a_live_edge_keeps_both_its_ends(session: Session) -> None:
    board = make.make_board(session, width_mm=300.0, width_end_mm=240.0, grain="quarter")
    assert dict(table(board, 12.0, 60.0).rows)["width, both ends"] == ("240–300 mm", "232–290 mm")


def test_without_a_target_the_driest_day_of_its_place_decides(board: Board) -> None:
    """Not today's: in a damp month air holds wood higher than it will be when dry."""
    assert table(board, None, 17.0).heads[-1] == "at its driest here, 15 %"


@pytest.mark.parametrize(("target_pct", "pct"), [(16.0, 15.5), (16.0, 9.0), (None, 15.2)])
def test_a_board_that_is_there_is_told_once(
    board: Board, target_pct: float | None, pct: float
) -> None:
    found = table(board, target_pct, pct)
    assert len(found.heads) == 1
    assert any("as dry as it" in remark for remark in found.remarks)


def test_a_board_drier_than_its_place_is_said_to_take_up_water(board: Board) -> None:
    found = table(board, None, 9.0)
    assert found.heads == ("now, at 9 %", "as this place keeps it, at 15 %")
    assert dict(found.rows)["weight, about"] == ("6.5 kg", "6.9 kg")
    assert any("takes up water" in remark for remark in found.remarks)
    assert not any("dry" in head for head in found.heads)


def test_a_board_never_read_is_told_as_sawn_and_not_weighed_now(board: Board) -> None:
    found = size_table(board, said(12.0, NAN), DRIEST_PCT, Units.METRIC)
    assert found.heads == ("as sawn", "when dry, at 12 %")
    assert dict(found.rows)["weight, about"] == ("–", "6.7 kg")
    alone = size_table(board, None, NAN, Units.METRIC)
    assert alone.heads == ("as sawn",)
    assert "weight, about" not in dict(alone.rows)


def test_no_weight_is_told_where_a_size_is_not_known(session: Session) -> None:
    assert list(dict(table(make.make_board(session), 12.0, 60.0).rows)) == ["thickness"]


def test_redwood_begins_to_shrink_late(session: Session) -> None:
    """At 25 % it is as sawn still: Table 13-5 of FPL-GTR-190 holds for 22 % fibre saturation."""
    board = make.make_board(session, species="old-growth redwood", width_mm=200.0, grain="flat")
    assert dict(table(board, 12.0, 25.0).rows)["width"][0] == "200 mm"


def test_each_figure_names_its_source_and_what_is_remembered(session: Session) -> None:
    oak, alder = (
        table(
            make.make_board(session, species=species, width_mm=200.0, length_mm=2000.0), 12.0, 20.0
        ).sources
        for species in ("white oak", "red alder")
    )
    assert oak[0].startswith("Shrinkage: Forest Products Laboratory 2010")
    assert "unverified" not in oak[0]
    assert alder[1].startswith("Weight: ")
    assert alder[1].endswith("(typical, unverified)")
