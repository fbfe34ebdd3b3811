from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import numpy as np
import pytest

from tests.make import (
    A_DAY,
    A_MOMENT,
    make_board,
    make_place,
    make_reading,
    make_round,
    make_stack,
    make_witness_board,
)
from webapp.records.batch import open_batch
from webapp.yard import work_out as working
from webapp.yard.judge_stack import judge_yard
from webapp.yard.move_board import move_board
from webapp.yard.move_stack import move_stack
from webapp.yard.picture_stack import picture_stack
from webapp.yard.recall import Recall
from webapp.yard.strike_reading import strike_reading

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

TODAY = A_DAY + timedelta(days=200)


def _on(days: int) -> date:
    return A_DAY + timedelta(days=days)


def test_a_picture_holds_everything_of_its_stack_once(session: Session) -> None:
    shed, store = make_place(session), make_place(session, name="Store")
    stack, other = make_stack(session, shed), make_stack(session, shed)
    one = make_board(session, stack, mark="P1", target_pct=14.0)
    two = make_board(session, stack, mark="P2")
    make_reading(session, make_board(session, other))
    for days, value in ((20, 27.0), (60, 19.0), (100, 16.0), (140, 15.0), (180, 14.8)):
        for board in (one, two):
            make_reading(session, board, read_on=_on(days), shown=str(value), value=value)
    make_reading(session, two, read_on=_on(10), shown=">30", value=30.0, over=True)
    make_reading(session, two, read_on=_on(190), shown="41", value=41.0)
    witness = make_witness_board(session, shed)
    make_reading(session, witness, read_on=_on(60), shown="12.6", value=12.6)
    make_reading(session, witness, read_on=_on(160), shown="12.4", value=12.4)
    make_reading(session, witness, read_on=_on(300), shown="12.9", value=12.9)
    indoors = make_witness_board(session, store)
    make_reading(session, indoors, read_on=_on(60), shown="8.1", value=8.1)
    make_reading(session, indoors, read_on=_on(180), shown="8.4", value=8.4)
    batch = open_batch(session, "form", "keeper", A_MOMENT + timedelta(days=200))
    move_stack(session, batch, stack, store, _on(150))

    picture = picture_stack(session, stack, TODAY)

    assert set(picture.curves) == {"P1", "P2"}
    assert picture.target_pct == 14.0
    assert picture.moves == [(_on(150), "Store")]
    # The one in the shed until the stack left it, the one in the store from then on.
    assert picture.witness == [(_on(60), 12.6), (_on(180), 8.4)]
    assert len(picture.readings) == 12
    assert sum(r.over for r in picture.readings) == 1
    assert [r.shown for r in picture.readings if r.doubtful] == ["41"]
    for mean, low, high in picture.curves.values():
        assert mean.shape == picture.days.shape == picture.equilibrium.shape
        assert (low <= mean).all()
        assert (mean <= high).all()
        assert (low >= 0).all()
    assert picture.days[0] == np.datetime64(A_DAY, "D")
    assert picture.days[-1] > np.datetime64(TODAY, "D") + 500


def test_every_reading_is_in_the_picture_once(session: Session) -> None:
    old, stack = make_stack(session), make_stack(session)
    one, came = make_board(session, stack, mark="P1"), make_board(session, old, mark="P2")
    make_board(session, stack, mark="P3")
    make_reading(session, one, read_on=_on(20), shown="<6", value=6.0, under=True)
    visit = make_round(session, stack)
    for hit, value in enumerate((17.0, 18.0), start=1):
        given = {"round": visit, "hit": hit, "shown": f"{value:g}", "value": value}
        make_reading(session, one, read_on=_on(40), **given)
    for _ in range(2):
        make_reading(session, one, read_on=_on(60), shown="16,5", value=16.5)
    make_reading(session, came, read_on=_on(30), shown="25", value=25.0)
    make_reading(session, came, read_on=TODAY, shown="15", value=15.0)
    make_reading(session, came, read_on=_on(201))
    struck = make_reading(session, one, read_on=_on(70))
    batch = open_batch(session, "form", "keeper", A_MOMENT + timedelta(days=210))
    strike_reading(session, batch, struck, "wrong board")
    move_board(session, batch, came, stack, _on(50))

    picture = picture_stack(session, stack, TODAY)

    shown = [(r.board, r.on, r.shown, r.corrected_pct) for r in picture.readings]
    assert shown == [
        ("P1", _on(20), "<6", 6.0),
        ("P1", _on(40), "17 18", 17.5),
        ("P1", _on(60), "16,5", 16.5),
        ("P1", _on(60), "16,5", 16.5),
        ("P2", _on(30), "25", 25.0),
        ("P2", TODAY, "15", 15.0),
    ]
    assert [r.under for r in picture.readings] == [True] + [False] * 5
    assert list(picture.curves) == ["P1", "P2", "P3"]
    assert list(picture_stack(session, old, TODAY).curves) == []


def test_a_curve_says_today_what_the_verdict_says(session: Session) -> None:
    stack = make_stack(session)
    for mark, last in (("P1", 15.0), ("P2", 21.0)):
        board = make_board(session, stack, mark=mark)
        for days, value in ((30, 29.0), (90, 22.0), (190, last)):
            make_reading(session, board, read_on=_on(days), shown=str(value), value=value)
    picture = picture_stack(session, stack, TODAY)
    today = picture.days == np.datetime64(TODAY, "D")
    assert today.sum() == 1
    for said in judge_yard(session, TODAY).boards:
        mean, low, high = (float(of[today][0]) for of in picture.curves[said.board_mark])
        verdict = said.verdict
        told = (verdict.moisture_pct, verdict.moisture_low, verdict.moisture_high)
        # The curve weighs several rates, the verdict takes the likeliest: nearly the same
        # for boards whose display showed numbers.
        assert (mean, low, high) == pytest.approx(told, abs=0.25)


def test_a_picture_of_an_earlier_day_knows_nothing_later(
    session: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    shed, store = make_place(session), make_place(session, kind="heated")
    stack = make_stack(session, shed)
    board = make_board(session, stack, mark="P1")
    make_reading(session, board, read_on=_on(60), shown="19", value=19.0)
    before = picture_stack(session, stack, TODAY)
    batch = open_batch(session, "form", "keeper", A_MOMENT + timedelta(days=300))
    move_stack(session, batch, stack, store, _on(201))
    make_reading(session, board, read_on=_on(201), shown="40", value=40.0)
    make_reading(session, make_witness_board(session, shed), read_on=_on(201))
    make_board(session, stack, from_on=_on(201))
    monkeypatch.setattr(working, "_recall", Recall(room=1))
    np.testing.assert_equal(vars(picture_stack(session, stack, TODAY)), vars(before))
    later = picture_stack(session, stack, _on(202))
    assert later.moves == [(_on(201), store.name)]
    assert [r.shown for r in later.readings] == ["19", "40"]
    assert (len(later.witness), len(later.curves)) == (1, 2)


def test_a_stack_without_boards_has_an_empty_picture(session: Session) -> None:
    picture = picture_stack(session, make_stack(session, target_pct=12.0), TODAY)
    assert picture.curves == {}
    assert picture.readings == []
    assert picture.target_pct == 12.0
    assert len(picture.days) == 0
