"""The invented yard as a whole, entered and judged."""

import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, date, datetime, time
from pathlib import Path

import pandas as pd
import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from seed_demo import build
from seed_demo.readings_taken import READ_ONCE, SLIPPED
from webapp.drying.verdict import State
from webapp.exports import write_folder
from webapp.records import (
    Air,
    Batch,
    Board,
    Database,
    Event,
    Log,
    Place,
    Reading,
    Record,
    Round,
    Stack,
    WitnessBoard,
)
from webapp.records.board import board_marked, stays_of_board
from webapp.records.reading import last_reading_of
from webapp.yard.gather_folder import gather_folder
from webapp.yard.judge_stack import judge_yard
from webapp.yard.keep_file import open_yard
from webapp.yard.take_in_folder import take_in_folder

TODAY = date(2026, 1, 15)
LEAP_DAY = date(2024, 2, 29)
FOUR_DAYS = (TODAY, LEAP_DAY, date(2026, 7, 15), date(2026, 10, 15))
# By then spring moves the shed, and the cellar's damp has only begun.
NO_SLOW_SEASON_ON = date(2026, 5, 5)


def evening(today: date) -> datetime:
    return datetime.combine(today, time(18), UTC)


@contextmanager
def invented(folder: Path, today: date) -> Iterator[Database]:
    with closing(open_yard(f"sqlite:///{folder / f'{today}.sqlite'}")) as database:
        build(database, today, evening(today))
        yield database


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Database]:
    with invented(tmp_path_factory.mktemp("demo"), TODAY) as database:
        yield database


@pytest.fixture
def session(yard: Database) -> Iterator[Session]:
    with yard.reading() as session:
        yield session


def count(session: Session, kind: type[Record]) -> int:
    return session.scalar(select(func.count(kind.id))) or 0


def test_it_is_as_large_as_a_small_yard(session: Session) -> None:
    assert count(session, Place) == 4
    assert 10 <= count(session, Stack) <= 14
    assert 80 <= count(session, Board) <= 120
    assert count(session, Log) == 13
    assert count(session, WitnessBoard) == 4
    assert 1000 < count(session, Reading) < 2500


def test_it_came_in_one_batch(session: Session) -> None:
    batches = session.scalars(select(Batch)).all()
    assert [(batch.kind, batch.person) for batch in batches] == [("demo", "Maren")]
    for kind in (Reading, Round, Event, Board, Air):
        assert set(session.scalars(select(kind.batch_id))) == {batches[0].id}


def test_nothing_lies_in_the_future_or_before_the_stacking(session: Session) -> None:
    for board in session.scalars(select(Board)):
        first = stays_of_board(session, board)[0].from_on
        days = session.scalars(select(Reading.read_on).where(Reading.board_id == board.id)).all()
        assert days
        assert first < min(days) <= max(days) <= TODAY
    for moments in (Round.ended_at, Air.at):
        assert max(filter(None, session.scalars(select(moments)))) < evening(TODAY)
    assert max(session.scalars(select(Event.on_date))) <= TODAY


def test_it_shows_what_a_yard_meets(session: Session) -> None:
    readings = session.scalars(select(Reading)).all()
    assert sum(reading.over for reading in readings) > 50
    assert {reading.meter.name for reading in readings if reading.meter} == {
        "New pins",
        "Old pins",
    }
    assert all(
        reading.wood_temperature_c is not None
        for reading in readings
        if reading.board and reading.meter and reading.meter.name == "Old pins"
    )
    assert [reading.struck_why for reading in readings if not reading.is_live]
    assert max(reading.hit or 0 for reading in readings) == 3
    assert sum(board.width_end_mm is not None for board in session.scalars(select(Board))) == 6
    assert 60 in session.scalars(select(Stack.board_count)).all()
    people = set(session.scalars(select(Round.person)))
    assert people == {"Maren", "Idris", "Odile", "Bram"}


def test_a_finger_slipped_on_the_last_reading_of_one_board(session: Session) -> None:
    board = board_marked(session, SLIPPED)
    assert board is not None
    last = last_reading_of(session, board)
    assert last is not None
    assert last.value is not None
    assert 100 < last.value < 200
    assert "." not in last.shown


def frames(database: Database) -> dict[str, pd.DataFrame]:
    with database.reading() as session:
        return {
            name: frame.drop(columns="id").astype(str)
            for name, frame in gather_folder(session).items()
        }


def test_it_is_the_same_each_time(yard: Database, tmp_path: Path) -> None:
    with invented(tmp_path, TODAY) as again:
        first, second = frames(yard), frames(again)
    assert first.keys() == second.keys()
    for name, frame in first.items():
        columns = list(frame.columns)
        once, twice = (
            side.sort_values(columns, ignore_index=True) for side in (frame, second[name])
        )
        pd.testing.assert_frame_equal(once, twice)


def test_another_day_has_the_same_rounds(yard: Database, tmp_path: Path) -> None:
    with invented(tmp_path, LEAP_DAY) as other:
        shift = TODAY - LEAP_DAY
        days = [
            sorted(date.fromisoformat(day) for day in frames(found)["readings.csv"]["read_on"])
            for found in (yard, other)
        ]
    assert [day - shift for day in days[0]] == days[1]


def test_its_export_makes_the_same_yard(yard: Database, tmp_path: Path) -> None:
    with yard.reading() as session:
        write_folder(gather_folder(session), tmp_path / "out")
    with closing(open_yard(f"sqlite:///{tmp_path / 'again.sqlite'}")) as again:
        with again.writing() as writing:
            take_in_folder(writing, tmp_path / "out", evening(TODAY), TODAY)
        with again.reading() as reading:
            write_folder(gather_folder(reading), tmp_path / "back")
    for file in (tmp_path / "out").iterdir():
        assert file.read_bytes() == (tmp_path / "back" / file.name).read_bytes(), file.name


@pytest.mark.parametrize("today", FOUR_DAYS)
def test_every_state_is_on_show_all_year(today: date, tmp_path: Path) -> None:
    with invented(tmp_path, today) as database, database.reading() as session:
        judged = judge_yard(session, today)
    assert {board.verdict.state for board in judged.boards} == set(State)
    stacks = {stack.stack_mark: stack.state for stack in judged.stacks}
    assert set(stacks.values()) == set(State) - _only_some_boards(stacks)
    assert stacks["J"] is State.GETTING_WETTER
    assert stacks["M"] is State.STALLED
    assert stacks["N"] is State.READ_AGAIN
    assert stacks["H"] is State.WET
    assert stacks["A"] is stacks["B"] is State.LEVELLED_OFF
    boards = {board.board_mark: board.verdict.state for board in judged.boards}
    assert boards[SLIPPED] is boards[READ_ONCE] is State.READ_AGAIN


def _only_some_boards(stacks: dict[str, State]) -> set[State]:
    """Name the state that may hold for boards but for no stack as a whole."""
    return {State.SLOW_SEASON} - set(stacks.values())


def test_for_some_weeks_in_spring_no_season_is_slow(tmp_path: Path) -> None:
    with invented(tmp_path, NO_SLOW_SEASON_ON) as database, database.reading() as session:
        judged = judge_yard(session, NO_SLOW_SEASON_ON)
    shown = {board.verdict.state for board in judged.boards}
    assert shown >= set(State) - {State.SLOW_SEASON}


def test_it_is_made_from_the_command_line_but_never_over_a_file(tmp_path: Path) -> None:
    file = tmp_path / "demo.sqlite"
    command = [sys.executable, "-m", "seed_demo", str(file)]
    root = Path(__file__).parents[2]
    subprocess.run(command, cwd=root, check=True, capture_output=True)
    before = file.read_bytes()
    again = subprocess.run(command, cwd=root, check=False, capture_output=True, text=True)
    assert again.returncode == 1
    assert "there already" in again.stderr
    assert file.read_bytes() == before
