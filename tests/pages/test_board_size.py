from datetime import date

import pytest
from sqlalchemy.orm import Session

from tests import make
from webapp.drying.verdict import Fit, State, Verdict
from webapp.pages.board_size import size_when_dry, weight_words
from webapp.yard.judge_stack import BoardVerdict

NAN = float("nan")


def said(target_pct: float | None, moisture_pct: float = 60.0) -> BoardVerdict:
    verdict = Verdict(
        State.DRYING, 0.9, moisture_pct, NAN, NAN, NAN, 15.0, Fit.NO, NAN, NAN, NAN, "drying"
    )
    return BoardVerdict("W", "W1", 1, date(2025, 3, 10), verdict, target_pct, None, None)


def test_the_width_of_a_flat_sawn_board_shrinks_as_the_handbook_has_it(session: Session) -> None:
    # White oak, green to oven-dry: 5.6 % radial, 10.5 % tangential (FPL-GTR-190, Table 4-3), so
    # down to 12 % of 30 %, six tenths of that.
    board = make.make_board(
        session, thickness_mm=30.0, width_mm=200.0, grain="flat", species="white oak"
    )
    assert size_when_dry(board, said(12.0)) == "29 × 187 mm at 12 %"


def test_unknown_grain_leaves_a_span(session: Session) -> None:
    board = make.make_board(session, thickness_mm=30.0, width_mm=200.0, species="white oak")
    assert size_when_dry(board, said(12.0)) == "28–29 × 187–193 mm at 12 %"


def test_without_a_target_the_place_decides(session: Session) -> None:
    board = make.make_board(session, thickness_mm=30.0, grain="quarter")
    assert size_when_dry(board, said(None)).endswith("at 15 %")


def test_weight_is_told_where_the_size_is_known(session: Session) -> None:
    # Basic density of white oak 0.60 (FPL-GTR-282, Table 5-3a): 0.01 m3 is 6.0 kg of dry wood.
    board = make.make_board(session, thickness_mm=25.0, width_mm=200.0, length_mm=2000.0)
    assert weight_words(board, said(10.0)) == "about 9.6 kg now, 6.6 kg when dry"
    assert weight_words(make.make_board(session), said(10.0)) == ""


@pytest.mark.parametrize("moisture_pct", [NAN])
def test_no_weight_is_told_of_a_board_never_read(session: Session, moisture_pct: float) -> None:
    board = make.make_board(session, thickness_mm=25.0, width_mm=200.0, length_mm=2000.0)
    assert weight_words(board, said(10.0, moisture_pct)) == ""
