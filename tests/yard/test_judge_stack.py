"""Verdicts of whole yards: the simulated ones, whose truth is known, and small made ones."""

from __future__ import annotations

from contextlib import ExitStack, closing
from dataclasses import asdict
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd
import pytest

from tests.make import (
    A_DAY,
    A_MOMENT,
    make_air,
    make_board,
    make_place,
    make_reading,
    make_stack,
    make_witness_board,
)
from webapp.drying.verdict import Fit, State
from webapp.records.batch import open_batch
from webapp.records.board import board_marked
from webapp.records.reading import readings_of
from webapp.records.stack import stack_marked
from webapp.yard import work_out as working
from webapp.yard.judge_stack import YardVerdict, judge_yard
from webapp.yard.keep_file import open_yard
from webapp.yard.move_board import move_board
from webapp.yard.move_stack import move_stack
from webapp.yard.recall import Recall
from webapp.yard.take_in_folder import take_in_folder

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sqlalchemy.orm import Session

    from webapp.records import Board, Database

PRACTICE = Path(__file__).parents[1] / "data" / "practice"
YARDS = ("continental_shed", "highland_cold", "maritime_south", "subtropical_mixed")
MOVING = "maritime_south"  # whose stacks move indoors
IMPORTED_AT = datetime(2025, 1, 10, 12, tzinfo=UTC)
EARLY, MIDDLE, LATE = date(2022, 3, 1), date(2022, 9, 15), date(2024, 5, 15)
KEYS = ("board_id", "stack_id")


def _take_in(database: Database, folder: Path) -> None:
    with database.writing() as session:
        take_in_folder(session, folder, at=IMPORTED_AT, today=IMPORTED_AT.date())


@pytest.fixture(scope="module")
def practice(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, Database]]:
    """Give the simulated yards, each in a file of its own."""
    folder = tmp_path_factory.mktemp("practice")
    with ExitStack() as open_files:
        yards = {
            yard: open_files.enter_context(closing(open_yard(f"sqlite:///{folder / yard}.sqlite")))
            for yard in YARDS
        }
        for yard, database in yards.items():
            _take_in(database, PRACTICE / yard)
        yield yards


@pytest.fixture(scope="module")
def beside_truth(practice: dict[str, Database]) -> dict[date, pd.DataFrame]:
    """Verdicts of all simulated boards beside the truth, on two days."""
    return {
        day: pd.concat(
            [_beside_truth(_judged(practice[yard], day), day, yard) for yard in YARDS],
            keys=YARDS,
            names=["yard", None],
        )
        for day in (MIDDLE, LATE)
    }


def _judged(database: Database, day: date) -> YardVerdict:
    with database.reading() as session:
        return judge_yard(session, day)


def _beside_truth(judged: YardVerdict, day: date, yard: str) -> pd.DataFrame:
    """Verdicts beside the true moisture and what was truly still to lose that day."""
    truth = pd.read_csv(PRACTICE / yard / "truth" / "truth.csv", parse_dates=["date"])
    truth["excess"] = truth["mc"] - truth["eq"]
    rows = []
    for said in judged.boards:
        mine = truth[truth["board"] == said.board_mark]
        when = mine["date"].to_numpy("datetime64[D]").astype(float)
        today = float(np.datetime64(day, "D").astype(int))
        moisture, left, before = (
            np.interp(at, when, mine[name])
            for at, name in ((today, "mc"), (today, "excess"), (today - 60, "mc"))
        )
        verdict = said.verdict
        inside = verdict.moisture_low <= moisture <= verdict.moisture_high
        rows.append((verdict.state, inside, left, before - moisture))
    return pd.DataFrame(rows, columns=["state", "inside", "left", "fall"])


def _fields(judged: YardVerdict) -> list[dict[str, Any]]:
    """Everything said, field by field, without the keys of the database."""
    said = [asdict(board) for board in judged.boards] + [asdict(stack) for stack in judged.stacks]
    return [{name: value for name, value in one.items() if name not in KEYS} for one in said]


def _forget(patch: pytest.MonkeyPatch) -> None:
    """Have the next verdict worked out, not recalled."""
    patch.setattr(working, "_recall", Recall(room=1))


def test_simulated_boards_that_fall_are_called_falling(
    beside_truth: dict[date, pd.DataFrame],
) -> None:
    table = beside_truth[MIDDLE]
    falling = table[(table["fall"] > 1.0) & (table["left"] > 1.0)]
    assert len(falling) > 200
    called = falling["state"].isin([State.DRYING, State.WET])
    assert called.mean() > 0.8
    assert called.groupby("yard").mean().min() > 0.6


@pytest.mark.parametrize("day", [MIDDLE, LATE])
def test_simulated_boards_that_are_dry_are_called_level(
    beside_truth: dict[date, pd.DataFrame], day: date
) -> None:
    table = beside_truth[day]
    level = table[table["left"].abs() < 0.6]
    assert len(level) > 100
    assert (level["state"] == State.LEVELLED_OFF).mean() > 0.75


@pytest.mark.parametrize("day", [MIDDLE, LATE])
def test_few_simulated_boards_are_falsely_called_level(
    beside_truth: dict[date, pd.DataFrame], day: date
) -> None:
    table = beside_truth[day]
    called = table[table["state"] == State.LEVELLED_OFF]
    assert len(called) > 100
    assert (called["left"] > 1.25).mean() < 0.05
    much_left = table[table["left"] > 1.5]
    assert len(much_left) > 50
    assert (much_left["state"] == State.LEVELLED_OFF).mean() < 0.15


def test_the_range_of_moisture_holds_for_four_in_five(
    beside_truth: dict[date, pd.DataFrame],
) -> None:
    inside = [table["inside"].groupby("yard").mean() for table in beside_truth.values()]
    # Boards of a yard share their meter's bias, so that a yard is well hit or badly; an 80 %
    # range is one over yards.
    assert [len(yards) for yards in inside] == [4, 4]
    assert 0.7 < np.mean(inside) < 0.95


@pytest.mark.parametrize("yard", [MOVING, "subtropical_mixed"])
def test_both_databases_say_the_same(
    practice: dict[str, Database],
    postgresql_database: Database,
    monkeypatch: pytest.MonkeyPatch,
    yard: str,
) -> None:
    _take_in(postgresql_database, PRACTICE / yard)
    one = _judged(practice[yard], EARLY)
    _forget(monkeypatch)
    other = _judged(postgresql_database, EARLY)
    assert len(one.boards) > 50
    np.testing.assert_equal(_fields(one), _fields(other))


def _until(day: date, yard: str, folder: Path) -> Path:
    """Write what was known of a yard on a day."""
    folder.mkdir()
    dated = {"boards": "stacked_on", "readings": "read_on", "moves": "moved_on"}
    for name in ("places", "meters", *dated):
        frame = pd.read_csv(PRACTICE / yard / f"{name}.csv", dtype=str)
        if name in dated:
            frame = frame[frame[dated[name]] <= day.isoformat()]
        frame.to_csv(folder / f"{name}.csv", index=False)
    return folder


def test_what_was_not_known_yet_is_not_used(
    practice: dict[str, Database], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with closing(open_yard(f"sqlite:///{tmp_path / 'then.sqlite'}")) as then:
        _take_in(then, _until(EARLY, MOVING, tmp_path / "then"))
        known_then = _judged(then, EARLY)
        late_then = _judged(then, LATE)
    _forget(monkeypatch)
    np.testing.assert_equal(_fields(known_then), _fields(_judged(practice[MOVING], EARLY)))
    # What was left out does tell, where it may.
    assert len(late_then.boards) < len(_judged(practice[MOVING], LATE).boards)


def test_an_empty_yard_has_nothing_to_say(session: Session) -> None:
    assert judge_yard(session, A_DAY) == YardVerdict([], [])


def test_a_stack_counts_what_is_read_and_names_what_was_last_shown(session: Session) -> None:
    stack = make_stack(session, mark="W", board_count=60, target_pct=15.0)
    for mark in ("W1", "W2", "W3"):
        make_board(session, stack, mark=mark)
    first = board_marked(session, "W1")
    assert first is not None
    make_reading(session, first, shown="22,5", value=22.5)
    make_reading(session, first, read_on=A_DAY + timedelta(days=20), shown="20", value=20.0)
    judged = judge_yard(session, A_DAY + timedelta(days=30))
    said = judged.stacks[0]
    assert (said.stack_mark, said.board_count, said.boards_read) == ("W", 60, 1)
    assert said.last_read_on == A_DAY + timedelta(days=20)
    one, two, _three = judged.boards
    assert (one.last_reading, one.target_pct) == ("20", 15.0)
    assert (two.last_read_on, two.verdict.state, two.verdict.fit) == (
        None,
        State.READ_AGAIN,
        Fit.UNKNOWN,
    )
    assert said.wettest == pytest.approx(one.verdict.moisture_pct)


def test_boards_before_their_stacking_are_not_judged(session: Session) -> None:
    make_board(session)
    assert judge_yard(session, A_DAY - timedelta(days=1)) == YardVerdict([], [])
    assert len(judge_yard(session, A_DAY).boards) == 1


def _read(session: Session, board: Board, shown: dict[int, float]) -> None:
    for days, value in shown.items():
        when = A_DAY + timedelta(days=days)
        make_reading(session, board, read_on=when, shown=str(value), value=value)


def test_later_facts_change_nothing_earlier(
    session: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    shed = make_place(session)
    stack, other = make_stack(session, shed, mark="S"), make_stack(session, shed, mark="T")
    boards = [make_board(session, stack) for _ in range(3)]
    boards += [make_board(session, other)]
    for n, board in enumerate(boards):
        _read(session, board, {20: 28.0 - n, 50: 22.0, 80: 18.5 - n / 2, 110: 16.0})
    make_air(session, place=shed, at=A_MOMENT + timedelta(days=60), rh_pct=75.0)
    today, later = A_DAY + timedelta(days=120), A_DAY + timedelta(days=200)
    before, before_later = _fields(judge_yard(session, today)), judge_yard(session, later)

    batch = open_batch(session, "form", "keeper", A_MOMENT + timedelta(days=300))
    for n, board in enumerate(boards):
        # The second is sold after a day and cannot be read again.
        _read(session, board, {121: 31.0} if n == 1 else {121: 31.0, 150: 9.0})
    make_air(session, place=shed, at=A_MOMENT + timedelta(days=121), rh_pct=98.0)
    make_reading(session, make_witness_board(session, shed), read_on=later)
    move_board(session, batch, boards[0], other, today + timedelta(days=1))
    move_board(session, batch, boards[1], None, today + timedelta(days=2), why="sold")
    move_stack(session, batch, stack, make_place(session, kind="heated"), today + timedelta(days=1))
    make_board(session, other, from_on=today + timedelta(days=1))

    _forget(monkeypatch)
    np.testing.assert_equal(_fields(judge_yard(session, today)), before)
    after_later = judge_yard(session, later)
    assert [b.stack_mark for b in before_later.boards] == ["S", "S", "S", "T"]
    assert [b.stack_mark for b in after_later.boards] == ["S", "T", "T", "T"]
    assert before_later.boards[-1].last_read_on != after_later.boards[-1].last_read_on


@pytest.mark.parametrize("days_later", [0, 3, 25])
def test_a_stack_just_moved_into_the_warm_is_not_called_flat(
    session: Session, days_later: int
) -> None:
    stack = make_stack(session, make_place(session), mark="S")
    for n in range(4):
        board = make_board(session, stack)
        _read(session, board, {20: 30.0 + n / 4, 50: 25.0 + n / 4, 80: 20.5 + n / 4})
    moved_on = A_DAY + timedelta(days=80)
    batch = open_batch(session, "form", "keeper", A_MOMENT + timedelta(days=300))
    warm = make_place(session, kind="heated")
    for month in warm.months:
        month.temperature_c, month.rh_pct = 20.0, 45.0
    session.flush()
    move_stack(session, batch, stack, warm, moved_on)
    (said,) = judge_yard(session, moved_on + timedelta(days=days_later)).stacks
    assert said.state is State.DRYING


def test_an_edit_reaches_the_next_verdict(session: Session) -> None:
    stack = make_stack(session, mark="S")
    board = make_board(session, stack, mark="S1")
    for days, value in ((20, 26.0), (50, 21.0), (80, 17.5), (110, 15.6)):
        make_reading(
            session, board, read_on=A_DAY + timedelta(days=days), shown=str(value), value=value
        )
    today = A_DAY + timedelta(days=120)
    plain = judge_yard(session, today).boards[0].verdict
    moved = stack_marked(session, "S")
    assert moved is not None
    store = make_place(session, kind="heated")
    for month in store.months:
        month.temperature_c, month.rh_pct = 21.0, 35.0
    session.flush()
    batch = open_batch(session, "form", "keeper", A_MOMENT + timedelta(days=130))
    move_stack(session, batch, moved, store, A_DAY + timedelta(days=100))
    indoors = judge_yard(session, today).boards[0].verdict
    assert indoors.equilibrium_pct < plain.equilibrium_pct - 3
    make_air(session, place=store, at=A_MOMENT + timedelta(days=119), rh_pct=80.0)
    damp = judge_yard(session, today).boards[0].verdict
    assert damp.equilibrium_pct > indoors.equilibrium_pct


def test_a_new_name_reaches_the_next_verdict(session: Session) -> None:
    """Marks and what a display showed change no number, and yet have to be told as they are."""
    board = make_board(session, make_stack(session, mark="S"), mark="S1")
    for days in (20, 50):
        make_reading(session, board, read_on=A_DAY + timedelta(days=days))
    today = A_DAY + timedelta(days=60)
    before = judge_yard(session, today)
    assert (before.stacks[0].stack_mark, before.boards[0].board_mark) == ("S", "S1")
    stack = stack_marked(session, "S")
    assert stack is not None
    stack.mark, board.mark = "oaks", "oak 1"
    for reading in readings_of(session, board):
        reading.shown = "18,5"
    session.flush()
    after = judge_yard(session, today)
    said = after.boards[0]
    assert (said.stack_mark, said.board_mark, said.last_reading) == ("oaks", "oak 1", "18,5")
    assert after.stacks[0].stack_mark == "oaks"
    assert said.verdict is before.boards[0].verdict
