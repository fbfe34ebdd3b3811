from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest

from tests.make import A_DAY, A_MOMENT, make_board, make_place, make_reading, make_stack
from webapp.records.batch import open_batch
from webapp.records.place import PlaceKind
from webapp.wood.sorption import equilibrium_moisture_pct
from webapp.yard import work_out as working
from webapp.yard.judge_stack import judge_yard
from webapp.yard.move_stack import move_stack
from webapp.yard.recall import Recall
from webapp.yard.weigh_leaving import weigh_leaving
from webapp.yard.work_out import work_out

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from webapp.records.place import Place
    from webapp.records.stack import Stack

TODAY = A_DAY + timedelta(days=200)
READ = ((20, 27.0), (60, 21.0), (100, 18.0), (140, 17.0), (180, 16.8))


@pytest.fixture(autouse=True)
def fresh_memory(monkeypatch: pytest.MonkeyPatch) -> None:
    """Recall nothing from other tests."""
    monkeypatch.setattr(working, "_recall", Recall(room=4))


def _stack(session: Session, place: Place, boards: int = 4, mark: str = "S") -> Stack:
    """A stack whose first board is the wettest."""
    stack = make_stack(session, place, mark=mark)
    for number in range(boards):
        board = make_board(session, stack, mark=f"{stack.mark}-{number}")
        for days, value in READ:
            shown = value - 0.4 * number
            on = A_DAY + timedelta(days=days)
            make_reading(session, board, read_on=on, shown=f"{shown:.1f}", value=shown)
    return stack


def test_every_other_place_is_weighed_the_best_first(session: Session) -> None:
    shed = make_place(session, name="Shed")
    make_place(session, name="Barn")
    room = make_place(session, name="Room", kind="heated")
    for month in room.months:
        month.temperature_c, month.rh_pct = 21.0, 40.0
    session.flush()
    stack = _stack(session, shed)
    weighed = weigh_leaving(session, stack, TODAY)
    assert weighed
    assert [there.place for there in weighed.elsewhere] == ["Room", "Barn"]
    assert [there.kind for there in weighed.elsewhere] == ["heated", "open_shed"]
    assert {there.on for there in weighed.elsewhere} == {TODAY + timedelta(days=42)}
    assert weighed.assumed is None
    best = weighed.elsewhere[0].middle
    assert best.off_pct == best.now_pct - best.moisture_pct
    assert best.off_pct > weighed.six_weeks.middle.off_pct + 1.0
    barn = weighed.elsewhere[1].middle
    assert barn.moisture_pct == pytest.approx(weighed.six_weeks.middle.moisture_pct, abs=0.1)


def test_the_middle_and_the_wettest_board_speak(session: Session) -> None:
    stack = _stack(session, make_place(session), boards=5)
    make_board(session, stack, mark="unread")
    weighed = weigh_leaving(session, stack, TODAY)
    assert weighed
    assert weighed.boards == 6
    assert weighed.read
    assert weighed.driest.wettest.mark == "S-0"
    assert weighed.driest.middle.mark == "S-2"
    said = {b.board_mark: b.verdict.moisture_pct for b in judge_yard(session, TODAY).boards}
    for spoken in (weighed.six_weeks.middle, weighed.year_on.wettest):
        assert spoken.now_pct == pytest.approx(said[spoken.mark], abs=0.1)
        assert spoken.low_pct < spoken.moisture_pct < spoken.high_pct


def test_two_boards_have_no_middle_one(session: Session) -> None:
    stack = _stack(session, make_place(session), boards=2)
    weighed = weigh_leaving(session, stack, TODAY)
    assert weighed
    assert weighed.driest.middle == weighed.driest.wettest


def test_without_a_heated_place_a_room_is_assumed(session: Session) -> None:
    stack = _stack(session, make_place(session))
    weighed = weigh_leaving(session, stack, TODAY)
    assert weighed
    assert weighed.elsewhere == ()
    assert weighed.assumed
    assert (weighed.assumed.place, weighed.assumed.kind) == (None, PlaceKind.HEATED)
    assert weighed.room_pct == pytest.approx(float(equilibrium_moisture_pct(20.0, 45.0)))
    there = weighed.assumed.middle
    assert weighed.room_pct < there.moisture_pct < there.now_pct


def test_another_summer_here_ends_in_summer(session: Session) -> None:
    weighed = weigh_leaving(session, _stack(session, make_place(session)), TODAY)
    assert weighed
    assert weighed.summer
    assert weighed.summer_ahead
    assert date(2025, 6, 1) < weighed.driest.on < date(2025, 9, 15)
    assert weighed.driest.middle.off_pct > weighed.year_on.middle.off_pct
    assert weighed.mended is None


def test_in_a_heated_room_nobody_speaks_of_summer(session: Session) -> None:
    room = make_place(session, kind="heated")
    weighed = weigh_leaving(session, _stack(session, room), TODAY)
    assert weighed
    assert not weighed.summer
    assert not weighed.summer_ahead
    assert weighed.assumed is None
    assert weighed.kind == "heated"


def test_a_moved_stack_is_weighed_from_where_it_stands(session: Session) -> None:
    shed, barn = make_place(session, name="Shed"), make_place(session, name="Barn")
    stack = _stack(session, shed)
    batch = open_batch(session, "form", "keeper", A_MOMENT + timedelta(days=200))
    move_stack(session, batch, stack, barn, A_DAY + timedelta(days=90))
    weighed = weigh_leaving(session, stack, TODAY)
    assert weighed
    assert [there.place for there in weighed.elsewhere] == ["Shed"]


def test_a_stack_that_was_held_up_is_also_weighed_mended(session: Session) -> None:
    room = make_place(session, kind="heated")
    for month in room.months:
        month.temperature_c, month.rh_pct = 20.0, 50.0
    session.flush()
    stack = make_stack(session, room)
    for _board in range(4):
        board = make_board(session, stack)
        for days in range(10, 200, 14):
            value = 11.0 + 12.0 * 0.97 ** min(days, 60)
            on = A_DAY + timedelta(days=days)
            make_reading(session, board, read_on=on, shown=f"{value:.1f}", value=value)
    weighed = weigh_leaving(session, stack, TODAY)
    assert weighed
    assert weighed.mended
    assert weighed.mended.middle.off_pct > weighed.driest.middle.off_pct + 1.0


def test_the_lowest_target_counts_and_unread_boards_speak_where_none_is_read(
    session: Session,
) -> None:
    stack = make_stack(session, target_pct=14.0)
    make_board(session, stack, mark="thin", thickness_mm=20.0)
    make_board(session, stack, mark="thick", thickness_mm=80.0, target_pct=9.0)
    weighed = weigh_leaving(session, stack, TODAY)
    assert weighed
    assert weighed.target_pct == 9.0
    assert not weighed.read
    assert weighed.driest.wettest.mark == "thick"
    assert weighed.thickest_mm == 80.0


def test_no_boards_no_answer(session: Session) -> None:
    assert weigh_leaving(session, make_stack(session), TODAY) is None
    _stack(session, make_place(session))
    assert weigh_leaving(session, make_stack(session), TODAY) is None


def test_nothing_is_fitted_anew(session: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    stack = _stack(session, make_place(session))
    work_out(session, TODAY)

    def refuse(*_given: object) -> None:
        raise AssertionError("judged again")

    monkeypatch.setattr(working, "judge", refuse)
    assert weigh_leaving(session, stack, TODAY)
