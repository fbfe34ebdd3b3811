"""Verdicts of whole yards: the simulated ones, whose truth is known, and small made ones."""

from __future__ import annotations

from contextlib import closing
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
import pytest

from tests.make import A_DAY, A_MOMENT, make_air, make_board, make_place, make_reading, make_stack
from webapp.drying.verdict import Fit, State
from webapp.records.batch import open_batch
from webapp.records.board import board_marked
from webapp.records.reading import readings_of
from webapp.records.stack import stack_marked
from webapp.yard.judge_stack import YardVerdict, judge_yard
from webapp.yard.keep_file import open_yard
from webapp.yard.move_stack import move_stack
from webapp.yard.take_in_folder import take_in_folder

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sqlalchemy.orm import Session

    from webapp.records import Database

PRACTICE = Path(__file__).parents[1] / "data" / "practice"
YARD = "highland_cold"
IMPORTED_AT = datetime(2025, 1, 10, 12, tzinfo=UTC)
EARLY, MIDDLE, LATE = date(2022, 3, 1), date(2022, 9, 15), date(2024, 5, 15)


def _take_in(database: Database, yard: str = YARD) -> None:
    with database.writing() as session:
        take_in_folder(session, PRACTICE / yard, at=IMPORTED_AT, today=IMPORTED_AT.date())


@pytest.fixture(scope="module")
def practice(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Database]:
    file = tmp_path_factory.mktemp("practice") / "yard.sqlite"
    with closing(open_yard(f"sqlite:///{file}")) as database:
        _take_in(database)
        yield database


def _judged(database: Database, day: date) -> YardVerdict:
    with database.reading() as session:
        return judge_yard(session, day)


def _beside_truth(judged: YardVerdict, day: date, yard: str = YARD) -> pd.DataFrame:
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
        rows.append((said.verdict.state, said.verdict, moisture, left, before - moisture))
    return pd.DataFrame(rows, columns=["state", "verdict", "moisture", "left", "fall"])


def test_simulated_boards_that_fall_are_called_falling(practice: Database) -> None:
    table = _beside_truth(_judged(practice, MIDDLE), MIDDLE)
    falling = table[(table["fall"] > 1.0) & (table["left"] > 1.0)]
    assert len(falling) > 30
    assert falling["state"].isin([State.DRYING, State.WET]).mean() > 0.75


def test_simulated_boards_that_are_dry_are_called_level_and_others_are_not(
    practice: Database,
) -> None:
    table = _beside_truth(_judged(practice, LATE), LATE)
    level = table["left"].abs() < 0.6
    called = table["state"] == State.LEVELLED_OFF
    assert level.sum() > 50
    assert called[level].mean() > 0.8
    assert called[table["left"] > 1.5].mean() < 0.1


def test_the_range_of_moisture_holds_for_four_in_five(tmp_path: Path) -> None:
    inside = []
    for yard in sorted(folder.name for folder in PRACTICE.iterdir() if folder.is_dir()):
        with closing(open_yard(f"sqlite:///{tmp_path / yard}.sqlite")) as database:
            _take_in(database, yard)
            table = _beside_truth(_judged(database, LATE), LATE, yard)
        low = np.array([v.moisture_low for v in table["verdict"]])
        high = np.array([v.moisture_high for v in table["verdict"]])
        inside.append(np.mean((low <= table["moisture"]) & (table["moisture"] <= high)))
    # Boards of a yard share their meter's bias, so that a yard is well hit or badly; an 80 %
    # range is one over yards.
    assert len(inside) == 4
    assert 0.7 < np.mean(inside) < 0.95


def test_both_databases_say_the_same(practice: Database, postgresql_database: Database) -> None:
    _take_in(postgresql_database)
    for one, other in zip(
        _judged(practice, EARLY).boards, _judged(postgresql_database, EARLY).boards, strict=True
    ):
        assert one.board_mark == other.board_mark
        assert one.verdict.state == other.verdict.state
        assert one.verdict.moisture_pct == pytest.approx(other.verdict.moisture_pct, rel=1e-6)
        assert one.last_reading == other.last_reading


def test_nothing_dated_later_is_used(practice: Database, tmp_path: Path) -> None:
    before = _judged(practice, EARLY)
    known = tmp_path / "until_then"
    known.mkdir()
    for name in ("places", "meters", "boards", "readings"):
        frame = pd.read_csv(PRACTICE / YARD / f"{name}.csv", dtype=str)
        column = {"boards": "stacked_on", "readings": "read_on"}.get(name)
        if column:
            frame = frame[frame[column] <= EARLY.isoformat()]
        frame.to_csv(known / f"{name}.csv", index=False)
    with closing(open_yard(f"sqlite:///{tmp_path / 'then.sqlite'}")) as then:
        with then.writing() as session:
            take_in_folder(session, known, at=IMPORTED_AT, today=IMPORTED_AT.date())
        after = _judged(then, EARLY)
    # By their text, since what is not in sight is NaN, which equals nothing.
    assert [str(b.verdict) for b in before.boards] == [str(b.verdict) for b in after.boards]
    assert [s.state for s in before.stacks] == [s.state for s in after.stacks]


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
