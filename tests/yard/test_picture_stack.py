from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import numpy as np

from tests.make import (
    A_DAY,
    A_MOMENT,
    make_board,
    make_place,
    make_reading,
    make_stack,
    make_witness_board,
)
from webapp.records.batch import open_batch
from webapp.yard.move_stack import move_stack
from webapp.yard.picture_stack import picture_stack

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


def test_a_stack_without_boards_has_an_empty_picture(session: Session) -> None:
    picture = picture_stack(session, make_stack(session, target_pct=12.0), TODAY)
    assert picture.curves == {}
    assert picture.readings == []
    assert picture.target_pct == 12.0
    assert len(picture.days) == 0
