"""Undoing: the yard is afterwards what it was before, or it is told what stands in the way."""

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from tests.yard.folders import NOW, TODAY, sound_folder
from tests.yard.undoing import (
    BOARD,
    READING,
    SHED,
    STACK,
    STACKED,
    begin,
    done,
    exported,
    sitting,
    undo,
)
from webapp.entry.entries import AirEntry, LogEntry, MeterEntry, StackEntry, WitnessEntry
from webapp.entry.reading_text import hits
from webapp.exports import write_folder
from webapp.problems import Conflict, RefusedFolder
from webapp.records import Batch, Board, Database, Meter, Place, Reading, Stack
from webapp.records.batch import batch_of, batch_undoing, changes_of, latest_batches
from webapp.records.board import board_marked
from webapp.records.event import events_of
from webapp.records.meter import meter_named
from webapp.records.place import place_named
from webapp.records.reading import readings_of
from webapp.records.round import rounds_of
from webapp.records.stack import stack_marked
from webapp.yard.add_boards import add_boards
from webapp.yard.build_stack import build_stack
from webapp.yard.change_board import change_board
from webapp.yard.change_meter import change_meter
from webapp.yard.change_place import change_place
from webapp.yard.change_stack import change_stack
from webapp.yard.gather_folder import gather_folder
from webapp.yard.keep_air import keep_air
from webapp.yard.keep_log import keep_log
from webapp.yard.keep_witness import keep_witness
from webapp.yard.log_reading import log_reading, log_witness_reading
from webapp.yard.move_board import move_board
from webapp.yard.move_stack import move_stack
from webapp.yard.note_event import note_event
from webapp.yard.set_up_meter import set_up_meter
from webapp.yard.set_up_place import set_up_place
from webapp.yard.strike_reading import strike_reading
from webapp.yard.strike_record import strike_record
from webapp.yard.take_in_folder import take_in_folder
from webapp.yard.undo_batch import undo_batch

LATER, LAST = date(2024, 4, 10), date(2024, 4, 20)
B = StackEntry("B", "shed", STACKED)


@pytest.fixture
def yard(session: Session) -> Session:
    """The small yard."""
    begin(session)
    return session


def _stack(session: Session, mark: str = "A") -> Stack:
    found = stack_marked(session, mark)
    assert found
    return found


def _board(session: Session, mark: str = "W7") -> Board:
    found = board_marked(session, mark)
    assert found
    return found


def _place(session: Session, name: str = "loft") -> Place:
    found = place_named(session, name)
    assert found
    return found


def _facts(board: Board) -> tuple[object, ...]:
    return board.thickness_mm, board.grain, board.turn


def _read(session: Session, **more: Any) -> Batch:
    return done(session, log_reading, replace(READING, **more))


def _meter(session: Session) -> Meter:
    found = meter_named(session, "m1")
    assert found
    return found


def _reading(session: Session) -> Reading:
    return readings_of(session, _board(session))[-1]


Do = Callable[[Session], Batch]
DEEDS: dict[str, Do] = {
    "a place": lambda yard: done(yard, set_up_place, replace(SHED, place="barn")),
    "air": lambda yard: done(
        yard, keep_air, AirEntry("shed", datetime(2024, 4, 1, tzinfo=UTC), 12.0, 60.0)
    ),
    "a meter": lambda yard: done(yard, set_up_meter, MeterEntry("m2")),
    "a log": lambda yard: done(yard, keep_log, LogEntry("L1", "white oak")),
    "a stack": lambda yard: done(yard, build_stack, replace(STACK, stack="C")),
    "boards": lambda yard: done(
        yard, add_boards, _stack(yard), [replace(BOARD, board=f"X{n}") for n in range(12)]
    ),
    "a stack's move": lambda yard: done(yard, move_stack, _stack(yard), _place(yard), LATER),
    "a board's move": lambda yard: done(yard, move_board, _board(yard), _stack(yard, "B"), LATER),
    "a board's leaving": lambda yard: done(yard, move_board, _board(yard), None, LATER, "sold"),
    "a reading": lambda yard: _read(yard, hits=hits("13.5 14 >30"), meter="m1"),
    "a place changed": lambda yard: done(
        yard,
        change_place,
        _place(yard, "shed"),
        replace(SHED, place="barn", kind="outdoors", temperature_c=(7.0,) * 12),
    ),
    "a meter changed": lambda yard: done(
        yard,
        change_meter,
        _meter(yard),
        MeterEntry("m1", scale="douglas_fir", over_range_pct=30.0, insulated=True),
    ),
    "a stack changed": lambda yard: done(
        yard, change_stack, _stack(yard), replace(STACK, stack="C", place="loft", note="north")
    ),
    "a stack set up earlier": lambda yard: done(
        yard, change_stack, _stack(yard), replace(STACK, stacked_on=date(2024, 2, 1))
    ),
    "a board changed": lambda yard: done(
        yard,
        change_board,
        _board(yard),
        replace(BOARD, board="W9", species="white ash", stacked_on=LATER, sawn_on=STACKED),
    ),
    "a board struck": lambda yard: done(yard, strike_record, _board(yard), "a mistake"),
    "an event": lambda yard: done(yard, note_event, _stack(yard), "covered", LATER),
    "a witness board": lambda yard: done(
        yard, keep_witness, WitnessEntry("Z", "shed", "white oak", 32.0)
    ),
}


@pytest.mark.parametrize("do", DEEDS.values(), ids=DEEDS.keys())
def test_everything_is_undone_and_done_again(yard: Session, do: Do) -> None:
    before = exported(yard)
    batch = do(yard)
    after = exported(yard)
    undoing = undo(yard, batch)
    assert exported(yard) == before
    assert (batch.undone_at, undoing.undoes_uid) == (undoing.at, batch.uid)
    redoing = undo(yard, undoing)
    assert exported(yard) == after
    assert (batch.undone_at, undoing.undone_at) == (None, redoing.at)
    undo(yard, redoing)
    assert exported(yard) == before
    assert batch.undone_at is not None
    assert batch_undoing(yard, batch) is undoing


def test_an_undone_event_is_gone(yard: Session) -> None:
    batch = done(yard, note_event, _stack(yard), "covered", LATER, detail={"with": ["tin"]})
    undo(yard, batch)
    assert events_of(yard, _stack(yard)) == []


def test_a_struck_reading_counts_again(yard: Session) -> None:
    _read(yard)
    before = exported(yard)
    struck = done(yard, strike_reading, _reading(yard), "slip")
    after = exported(yard)
    undoing = undo(yard, struck)
    assert exported(yard) == before
    undo(yard, undoing)
    assert exported(yard) == after


def test_what_was_undone_stays_to_be_seen(yard: Session) -> None:
    batch = _read(yard)
    undoing = undo(yard, batch)
    (reading,) = readings_of(yard, _board(yard), struck_too=True)
    assert (reading.struck_at, reading.struck_by) == (undoing.at, "keeper")
    assert reading.struck_why == "undone"
    (change,) = changes_of(yard, reading)
    assert change.batch is undoing
    assert change.before == {"struck_at": None, "struck_by": None, "struck_why": None}
    assert change.after["struck_at"] == undoing.at.isoformat()


def test_a_whole_import_and_its_undoing(database: Database, tmp_path: Path) -> None:
    folder = sound_folder(tmp_path / "in")
    with database.writing() as session:
        before = exported(session)
        take_in_folder(session, folder, NOW, TODAY)
        imported, after = batch_of(session), exported(session)
        assert after["readings.csv"].count(b"\n") == 5
    with database.writing() as session:
        imported = session.get_one(Batch, imported.id)
        undoing = undo(session, imported)
        assert exported(session) == before
        undo(session, undoing)
        assert exported(session) == after
        undo(session, imported)
        assert exported(session) == before
        # The same folder, without ids, may come in again.
        take_in_folder(session, folder, NOW, TODAY)
        assert exported(session).keys() == after.keys()
        assert {name: text.count(b"\n") for name, text in exported(session).items()} == {
            name: text.count(b"\n") for name, text in after.items()
        }


def test_an_export_that_came_in_and_was_undone_is_done_again_not_read_again(
    yard: Session, tmp_path: Path
) -> None:
    folder = tmp_path / "in"
    write_folder(gather_folder(yard), folder)
    for batch in latest_batches(yard, 99):
        if batch.undone_at is None:
            undo(yard, batch)
    with pytest.raises(RefusedFolder) as refused:
        take_in_folder(yard, folder, NOW, TODAY)
    assert {refusal.sentence for refusal in refused.value.refusals} == {
        "this id came in before, and that was undone: redo it in the history instead"
    }


def test_an_import_that_moves_what_was_there(yard: Session, tmp_path: Path) -> None:
    folder = tmp_path / "moves"
    folder.mkdir()
    (folder / "moves.csv").write_text("stack,moved_on,place\nA,2024-04-10,loft\n")
    (folder / "readings.csv").write_text(
        "board,read_on,reading,struck_on,struck_why\nW7,2024-04-12,14,2024-04-13,slip\n"
    )
    before = exported(yard)
    take_in_folder(yard, folder, NOW, TODAY)
    imported, after = batch_of(yard), exported(yard)
    assert b"slip" in after["readings.csv"]
    undoing = undo(yard, imported)
    assert exported(yard) == before
    undo(yard, undoing)
    assert exported(yard) == after


def test_undoing_twice_is_refused(yard: Session) -> None:
    batch = _read(yard)
    undo(yard, batch)
    with pytest.raises(Conflict, match="undone already, on 2024-05-04"):
        undo(yard, batch)


def test_a_batch_does_not_undo_itself(yard: Session) -> None:
    with pytest.raises(ValueError, match="itself"):
        undo_batch(yard, batch_of(yard), batch_of(yard))


def _refused(yard: Session, batch: Batch, sentence: str) -> None:
    """See that undoing is refused, and that nothing of it is left."""
    before = exported(yard)
    with pytest.raises(Conflict, match=sentence):
        undo(yard, batch)
    assert exported(yard) == before
    assert (batch.undone_at, batch_of(yard).undoes_uid) == (None, None)


def test_boards_that_were_read_since(yard: Session) -> None:
    added = done(yard, add_boards, _stack(yard), [replace(BOARD, board="X")])
    read = _read(yard, board="X")
    _refused(
        yard,
        added,
        "The reading 13.5 of “X” on 2024-04-01 belongs to the board “X”. Undo that or strike it",
    )
    undo(yard, read)
    undo(yard, added)
    assert board_marked(yard, "X") is None


@pytest.mark.parametrize(
    ("first", "then", "sentence"),
    [
        (
            lambda yard: done(yard, build_stack, replace(STACK, stack="C")),
            lambda yard: done(yard, add_boards, _stack(yard, "C"), [replace(BOARD, board="X")]),
            "The board “X” lay in the stack “C”. Undo that or strike it out first.",
        ),
        (
            lambda yard: done(yard, build_stack, replace(STACK, stack="C")),
            lambda yard: done(yard, move_stack, _stack(yard, "C"), _place(yard), LATER),
            "The stay of stack “C” at “shed” from 2024-03-01 was changed later, on 2024-05-04 by",
        ),
        (
            lambda yard: done(yard, set_up_meter, MeterEntry("m2")),
            lambda yard: _read(yard, meter="m2"),
            "The reading 13.5 of “W7” on 2024-04-01 was taken with the meter “m2”",
        ),
        (
            lambda yard: done(yard, set_up_place, replace(SHED, place="barn")),
            lambda yard: done(yard, move_stack, _stack(yard), _place(yard, "barn"), LATER),
            "The stack “A” stood at the place “barn”",
        ),
        (
            lambda yard: done(yard, keep_log, LogEntry("L1", "white oak")),
            lambda yard: done(
                yard, add_boards, _stack(yard), [replace(BOARD, board="X", log="L1")]
            ),
            "The board “X” came from the log “L1”",
        ),
        (
            _read,
            lambda yard: done(yard, strike_reading, _reading(yard), "slip"),
            "The reading 13.5 of “W7” on 2024-04-01 was struck out later",
        ),
        (
            DEEDS["a witness board"],
            lambda yard: done(yard, log_witness_reading, replace(READING, board="Z")),
            "The reading 13.5 of “Z” on 2024-04-01 belongs to the witness board “Z”",
        ),
        (
            DEEDS["a board's move"],
            lambda yard: _read(yard, read_on=LAST),
            "“W7” showed 13.5 on 2024-04-20 in a round of a stack where it would not lie",
        ),
    ],
)
def test_what_came_later_is_in_the_way(yard: Session, first: Do, then: Do, sentence: str) -> None:
    batch = first(yard)
    later = then(yard)
    _refused(yard, batch, sentence)
    undo(yard, later)
    undo(yard, batch)


def test_a_board_laid_in_the_days_by_which_a_stack_was_set_up_earlier(yard: Session) -> None:
    earlier = replace(STACK, stacked_on=date(2024, 2, 1))
    changed = done(yard, change_stack, _stack(yard), earlier)
    new = replace(BOARD, board="X", stacked_on=date(2024, 2, 10))
    added = done(yard, add_boards, _stack(yard), [new])
    _refused(yard, changed, "Board “X” lies in stack “A” since 2024-02-10; the stack would begin")
    undo(yard, added)
    undo(yard, changed)


def test_a_stack_moved_in_the_days_by_which_it_was_set_up_earlier(yard: Session) -> None:
    earlier = replace(B, stacked_on=date(2024, 2, 1))
    changed = done(yard, change_stack, _stack(yard, "B"), earlier)
    done(yard, move_stack, _stack(yard, "B"), _place(yard), date(2024, 2, 10))
    _refused(yard, changed, "stay of stack “B” at “shed” from 2024-02-01 ends on 2024-02-10")


def test_a_stack_moved_to_where_it_was_first_said_to_stand(yard: Session) -> None:
    changed = done(yard, change_stack, _stack(yard), replace(STACK, place="loft"))
    done(yard, move_stack, _stack(yard), _place(yard, "shed"), LATER)
    _refused(yard, changed, "Stack “A” would be moved on 2024-04-10 to where it stands already")


def test_readings_need_the_stay_that_brought_the_board_back(yard: Session) -> None:
    done(yard, move_board, _board(yard), None, date(2024, 4, 5))
    back = done(yard, move_board, _board(yard), _stack(yard), LATER)
    _read(yard, read_on=LAST)
    _refused(yard, back, "“W7” showed 13.5 on 2024-04-20; on that day it would lie in none")


def test_a_mark_taken_since_keeps_the_old_board_away(yard: Session) -> None:
    undoing = undo(yard, done(yard, add_boards, _stack(yard), [replace(BOARD, board="X")]))
    done(yard, add_boards, _stack(yard), [replace(BOARD, board="X", species="white ash")])
    _refused(yard, undoing, "The board “X” is in the yard by now")


def test_boards_do_not_come_back_to_a_stack_that_is_gone(yard: Session) -> None:
    built = done(yard, build_stack, replace(STACK, stack="C"))
    added = done(yard, add_boards, _stack(yard, "C"), [replace(BOARD, board="X")])
    undoing = undo(yard, added)
    undo(yard, built)
    _refused(yard, undoing, "cannot come back: the stack “C” is struck out")


def test_a_reading_does_not_come_back_to_a_board_that_left(yard: Session) -> None:
    undoing = undo(yard, _read(yard, read_on=LAST))
    done(yard, move_board, _board(yard), None, LATER)
    _refused(yard, undoing, "on that day it would lie in none of the yard's stacks")


def test_a_value_set_again_since_is_not_overwritten(yard: Session) -> None:
    board = _board(yard)
    first = sitting(yard)
    board.thickness_mm, board.grain = 38.0, "flat"
    yard.flush()
    second = sitting(yard, "helper")
    board.thickness_mm, board.turn = 40.0, "slab 2"
    yard.flush()
    _refused(yard, first, "The board “W7” was changed later, on 2024-05-04 by helper: undo that")
    undo(yard, second)
    undo(yard, first)
    assert _facts(board) == (32.0, None, None)


def test_another_value_of_the_same_record_is_left_alone(yard: Session) -> None:
    board = _board(yard)
    first = sitting(yard)
    board.grain = "flat"
    yard.flush()
    sitting(yard)
    board.turn = "slab 2"
    yard.flush()
    undo(yard, first)
    assert _facts(board) == (32.0, None, "slab 2")


def test_marks_that_changed_hands_change_back(yard: Session) -> None:
    seven, eight = _board(yard), _board(yard, "W8")
    before = exported(yard)
    batch = sitting(yard)
    for board, mark in ((seven, "spare"), (eight, "W7"), (seven, "W8")):
        board.mark = mark
        yard.flush()
    after = exported(yard)
    undoing = undo(yard, batch)
    assert (seven.mark, exported(yard)) == ("W7", before)
    undo(yard, undoing)
    assert (seven.mark, exported(yard)) == ("W8", after)


def test_a_round_goes_with_its_last_reading(yard: Session) -> None:
    before = exported(yard)
    first, second = _read(yard), _read(yard, board="W8")
    after = exported(yard)
    stack = _stack(yard)
    undo_first = undo(yard, first)
    assert [reading.shown for reading in readings_of(yard, _board(yard, "W8"))] == ["13.5"]
    assert len(rounds_of(yard, stack)) == 1
    undo_second = undo(yard, second)
    assert exported(yard) == before
    undo(yard, undo_second)
    assert len(rounds_of(yard, stack)) == 1
    undo(yard, undo_first)
    assert exported(yard) == after


def test_a_round_that_was_begun_anew_is_not_doubled(yard: Session) -> None:
    undoing = undo(yard, _read(yard))
    _read(yard, board="W8")
    _refused(yard, undoing, "The round “A 2024-04-01” is in the yard again")


def test_undone_batches_are_listed_and_undoings_are_not(yard: Session) -> None:
    batch = _read(yard)
    undo(yard, batch)
    assert latest_batches(yard, 1) == [batch]
    assert len(latest_batches(yard, 99)) == len(
        yard.scalars(select(Batch).where(Batch.undoes_uid.is_(None))).all()
    )
