"""The way back: a walk of any steps, undone step by step, then done again."""

import shutil
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy.orm import Session

from tests.yard.undoing import (
    BOARD,
    READING,
    STACK,
    STACKED,
    Export,
    begin,
    exported,
    sitting,
    undo,
)
from webapp.problems import Problem
from webapp.records import Batch, Board, Database, Stack
from webapp.records.batch import batch_undoing, latest_batches
from webapp.records.board import live_boards, stays_of_board
from webapp.records.place import place_named
from webapp.records.reading import readings_of
from webapp.records.stack import live_stacks, stays_of_stack
from webapp.yard.add_boards import add_boards
from webapp.yard.build_stack import build_stack
from webapp.yard.change_board import change_board
from webapp.yard.change_stack import change_stack
from webapp.yard.checks import known
from webapp.yard.log_reading import log_reading
from webapp.yard.move_board import move_board
from webapp.yard.move_stack import move_stack
from webapp.yard.strike_reading import strike_reading
from webapp.yard.strike_record import strike_record
from webapp.yard.undo_batch import undo_batch


class Step:
    """One thing a keeper may do next, on the yard as it is by now."""

    def __init__(self, session: Session, batch: Batch, which: int, days: int) -> None:
        self.session, self.batch, self.which = session, batch, which
        self.day = date.fromordinal(STACKED.toordinal() + days)
        self.mark = f"N{batch.id}"
        self.stacks, self.boards = live_stacks(session), live_boards(session)

    @property
    def stack(self) -> Stack:
        return self.stacks[self.which % len(self.stacks)]

    @property
    def board(self) -> Board:
        return self.boards[self.which % len(self.boards)]

    def build(self) -> None:
        entry = replace(STACK, stack=self.mark, stacked_on=self.day)
        build_stack(self.session, self.batch, entry)

    def add(self) -> None:
        laid = replace(BOARD, stacked_on=self.day)
        new = [replace(laid, board=f"{self.mark}-{n}") for n in range(1 + self.which % 3)]
        add_boards(self.session, self.batch, self.stack, new)

    def move_stack(self) -> None:
        stands = stays_of_stack(self.session, self.stack)[-1].place.name
        other = "loft" if stands == "shed" else "shed"
        place = known(place_named(self.session, other), "place", other)
        move_stack(self.session, self.batch, self.stack, place, self.day)

    def move_board(self) -> None:
        to = self.stacks[(self.which + 1) % len(self.stacks)]
        move_board(self.session, self.batch, self.board, to, self.day)

    def take_out(self) -> None:
        move_board(self.session, self.batch, self.board, None, self.day, "sold")

    def read(self) -> None:
        entry = replace(READING, board=self.board.mark, read_on=self.day)
        log_reading(self.session, self.batch, entry)

    def strike_reading(self) -> None:
        reading = readings_of(self.session, self.board)[-1]
        strike_reading(self.session, self.batch, reading, "slip")

    def edit_board(self) -> None:
        lay = stays_of_board(self.session, self.board)[0].from_on
        entry = replace(BOARD, board=f"{self.mark}!", thickness_mm=20.0 + self.which)
        entry = replace(entry, stacked_on=self.day if self.which % 2 else lay)
        change_board(self.session, self.batch, self.board, entry)

    def edit_stack(self) -> None:
        first = stays_of_stack(self.session, self.stack)[0]
        entry = replace(STACK, stack=self.stack.mark, place=first.place.name, note=self.mark)
        change_stack(self.session, self.batch, self.stack, replace(entry, stacked_on=self.day))

    def strike_out(self) -> None:
        record = self.board if self.which % 2 else self.stack
        strike_record(self.session, self.batch, record, "a mistake")

    def undo(self) -> None:
        undone = latest_batches(self.session, 10)[1 + self.which % 5]
        undo_batch(self.session, self.batch, batch_undoing(self.session, undone) or undone)


Take = Callable[[Step], None]
STEPS: tuple[Take, ...] = (
    Step.build,
    Step.add,
    Step.move_stack,
    Step.move_board,
    Step.take_out,
    Step.read,
    Step.strike_reading,
    Step.edit_board,
    Step.edit_stack,
    Step.strike_out,
    Step.undo,
)


class Walk:
    """Takes steps one sitting at a time, and remembers the yard before each."""

    def __init__(self, database: Database) -> None:
        self.database = database
        self.path: list[tuple[Export, int]] = []
        with database.writing() as session:
            begin(session)

    def now(self) -> Export:
        """Give the yard as it is by now."""
        with self.database.reading() as session:
            return exported(session)

    def step(self, take: Take, which: int, days: int) -> None:
        """Take a step; one that cannot be taken changes nothing."""
        before = self.now()
        try:
            with self.database.writing() as session:
                batch = sitting(session)
                take(Step(session, batch, which, days))
                key = batch.id
        except (Problem, IndexError, ZeroDivisionError):
            assert self.now() == before
        else:
            self.path.append((before, key))

    def back_and_forth(self) -> None:
        """See that undoing step by step leads through every earlier yard, and back again."""
        end, undoings = self.now(), []
        for before, key in reversed(self.path):
            undoings.append(self._undo(key))
            assert self.now() == before
        for key in reversed(undoings):
            self._undo(key)
        assert self.now() == end

    def _undo(self, key: int) -> int:
        with self.database.writing() as session:
            return undo(session, session.get_one(Batch, key)).id


@settings(max_examples=20, deadline=None)
@given(
    steps=st.lists(
        st.tuples(st.sampled_from(STEPS), st.integers(0, 9), st.integers(0, 60)),
        min_size=1,
        max_size=9,
    )
)
def test_undone_backwards_the_yard_is_what_it_was_at_each_step(
    fresh_file: Path, tmp_path_factory: pytest.TempPathFactory, steps: list[tuple[Take, int, int]]
) -> None:
    file = Path(shutil.copy(fresh_file, tmp_path_factory.mktemp("walk") / "yard.sqlite"))
    with closing(Database(f"sqlite:///{file}")) as database:
        walk = Walk(database)
        for step in steps:
            walk.step(*step)
        walk.back_and_forth()


def test_a_long_way_back(database: Database) -> None:
    walk = Walk(database)
    way: list[tuple[Take, int, int]] = [
        (Step.build, 0, 5),
        (Step.add, 0, 6),
        (Step.read, 0, 10),
        (Step.read, 3, 10),
        (Step.strike_reading, 3, 0),
        (Step.move_stack, 0, 12),
        (Step.move_board, 1, 14),
        (Step.edit_board, 0, 20),
        (Step.edit_stack, 2, 4),
        (Step.read, 1, 25),
        (Step.undo, 1, 0),
        (Step.take_out, 2, 30),
        (Step.move_stack, 0, 40),
        (Step.undo, 0, 0),
    ]
    for step in way:
        walk.step(*step)
    assert len(walk.path) > len(way) - 3
    walk.back_and_forth()
