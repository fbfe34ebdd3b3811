"""Judge a yard on a day: from records to readings, to fits, to verdicts of boards and stacks."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from webapp.drying.air import AirCourses, air_courses
from webapp.drying.background import background_of
from webapp.drying.forecast import HORIZON_DAYS
from webapp.drying.judge import EIGHTY, Judgement, judge
from webapp.drying.stack_verdict import judge_stack
from webapp.drying.standing import DOUBTFUL_SD
from webapp.records.reading import Reading
from webapp.records.stack import Stack, stays_of_stack
from webapp.records.witness_board import live_witness_boards
from webapp.yard.correct_readings import corrected, readings_frame
from webapp.yard.kept_background import background_for, keep_background
from webapp.yard.lay_out import Layout, date_of, day_number, lay_out
from webapp.yard.recall import Recall

if TYPE_CHECKING:
    from datetime import date

    import pandas as pd
    from numpy.typing import NDArray
    from sqlalchemy.orm import Session

    from webapp.drying.arrays import Array, Flags, Index
    from webapp.drying.verdict import Fit, State, Verdict

Progress = Callable[[int, int], None]

# How far ahead a picture goes.
PICTURE_DAYS = 550.0


@dataclass(frozen=True)
class BoardVerdict:
    """What is said of one board."""

    stack_mark: str
    board_mark: str
    board_id: int
    as_of: date
    verdict: Verdict
    target_pct: float | None
    last_read_on: date | None
    last_reading: str | None


@dataclass(frozen=True)
class StackVerdict:
    """What is said of one stack."""

    stack_mark: str
    stack_id: int
    as_of: date
    state: State
    reason: str
    numbers: Mapping[str, float | str]
    troubled: tuple[str, ...]
    fit: Fit
    boards_fit: int
    boards_read: int
    board_count: int
    ready_on: date | None
    ready_from: date | None
    ready_to: date | None
    wettest: float
    last_read_on: date | None


@dataclass(frozen=True)
class YardVerdict:
    """What is said of all boards and stacks on one day."""

    boards: list[BoardVerdict]
    stacks: list[StackVerdict]


@dataclass(frozen=True)
class PictureReading:
    """One reading as a chart shows it."""

    board: str
    on: date
    shown: str
    corrected_pct: float
    over: bool
    under: bool
    doubtful: bool


@dataclass(frozen=True)
class StackPicture:
    """Everything a chart of one stack needs, in plain numbers."""

    days: NDArray[np.datetime64]
    curves: dict[str, tuple[Array, Array, Array]]
    equilibrium: Array
    readings: list[PictureReading]
    target_pct: float | None
    moves: list[tuple[date, str]]
    witness: list[tuple[date, float]]
    as_of: date


@dataclass(frozen=True)
class _Judged:
    """A yard's layout with what was concluded from it."""

    layout: Layout
    judgement: Judgement | None


_recall: Recall[_Judged] = Recall(room=4)


def judge_yard(session: Session, as_of: date) -> YardVerdict:
    """Judge every board that lies in a stack on a day, and every stack, from what was known then.

    Boards come by stack and mark, stacks by mark.
    """
    judged = _judged(session, as_of)
    if judged.judgement is None:
        return YardVerdict([], [])
    boards = _board_verdicts(judged.layout, judged.judgement.verdicts, as_of)
    return YardVerdict(boards, _stack_verdicts(session, judged.layout, boards, as_of))


def picture_stack(session: Session, stack: Stack, as_of: date) -> StackPicture:
    """Gather the curves, readings and events of one stack for its chart."""
    judged = _judged(session, as_of)
    rows = np.flatnonzero(judged.layout.table["stack_id"] == stack.id)
    witness = _witness(session, stack, as_of)
    moves = [(s.from_on, s.place.name) for s in stays_of_stack(session, stack)[1:]]
    moves = [move for move in moves if move[0] <= as_of]
    if judged.judgement is None or len(rows) == 0:
        empty = np.zeros(0)
        return StackPicture(
            np.zeros(0, "datetime64[D]"), {}, empty, [], stack.target_pct, moves, witness, as_of
        )
    outlook = judged.judgement.outlook
    first = judged.layout.boards.stays.first_day[rows].min()
    shown = (outlook.days >= first) & (outlook.days <= day_number(as_of) + PICTURE_DAYS)
    marks = judged.layout.table["board"]
    targets = judged.layout.table["target_pct"].iloc[rows].dropna()
    return StackPicture(
        days=outlook.days[shown].astype("datetime64[D]"),
        curves={
            marks.iloc[row]: _curve(outlook.mean_pct[row][shown], outlook.sd_pct[row][shown])
            for row in rows
        },
        equilibrium=_equilibrium(judged.judgement, int(rows[0]), outlook.days[shown]),
        readings=_picture_readings(judged, rows),
        target_pct=float(targets.min()) if len(targets) else None,
        moves=moves,
        witness=witness,
        as_of=as_of,
    )


def refit_yard(session: Session, as_of: date, progress: Progress | None = None) -> None:
    """Work out anew what the yard's stacks share, and keep it."""
    tell = progress or (lambda _done, _whole: None)
    tell(0, 3)
    layout = lay_out(session, as_of)
    tell(1, 3)
    if len(layout.boards):
        air = _courses(layout, as_of)
        today = day_number(as_of)
        found = background_of(layout.readings, layout.boards, air, layout.causes, today)
        tell(2, 3)
        keep_background(session, layout, as_of, found)
    tell(3, 3)


def _courses(layout: Layout, as_of: date) -> AirCourses:
    first = float(layout.boards.stays.first_day.min())
    return air_courses(layout.air, first, day_number(as_of) + HORIZON_DAYS + 31.0)


def _judged(session: Session, as_of: date) -> _Judged:
    """Judge the yard, or recall how it was judged when nothing has changed since."""
    layout = lay_out(session, as_of)

    def work_out() -> _Judged:
        if len(layout.boards) == 0:
            return _Judged(layout, None)
        air, today = _courses(layout, as_of), day_number(as_of)
        background = background_for(session, layout, as_of) or background_of(
            layout.readings, layout.boards, air, layout.causes, today
        )
        return _Judged(layout, judge(layout.readings, layout.boards, air, background, today))

    return _recall.of(layout.fingerprint, work_out)


def _board_verdicts(layout: Layout, verdicts: list[Verdict], as_of: date) -> list[BoardVerdict]:
    last = layout.frame.groupby("row").last()
    targets = layout.boards.target_pct
    said = []
    for n, row in enumerate(layout.table.to_dict("records")):
        read = n in last.index
        said.append(
            BoardVerdict(
                stack_mark=row["stack"],
                board_mark=row["board"],
                board_id=int(row["board_id"]),
                as_of=as_of,
                verdict=verdicts[n],
                target_pct=float(targets[n]) if np.isfinite(targets[n]) else None,
                last_read_on=last["read_on"][n].date() if read else None,
                last_reading=str(last["shown"][n]) if read else None,
            )
        )
    return said


def _stack_verdicts(
    session: Session, layout: Layout, boards: list[BoardVerdict], as_of: date
) -> list[StackVerdict]:
    counted = {stack.id: stack.board_count for stack in session.query(Stack)}
    said = []
    keys = layout.table["stack_id"].to_numpy(dtype=np.intp)
    for key in dict.fromkeys(keys.tolist()):
        mine = [boards[row] for row in np.flatnonzero(keys == key)]
        read = [board.last_read_on is not None for board in mine]
        found = judge_stack([board.verdict for board in mine], read)
        spoken = mine[found.spokesman].verdict
        wettest = [b.verdict.moisture_pct for b, seen in zip(mine, read, strict=True) if seen]
        days = [board.last_read_on for board in mine if board.last_read_on]
        said.append(
            StackVerdict(
                stack_mark=mine[0].stack_mark,
                stack_id=key,
                as_of=as_of,
                state=found.state,
                reason=spoken.reason,
                numbers=spoken.numbers,
                troubled=tuple(mine[n].board_mark for n in found.troubled),
                fit=found.fit,
                boards_fit=found.boards_fit,
                boards_read=sum(read),
                board_count=max(counted.get(key) or 0, len(mine)),
                ready_on=date_of(found.ready_on),
                ready_from=date_of(found.ready_from),
                ready_to=date_of(found.ready_to),
                wettest=max(wettest, default=np.nan),
                last_read_on=max(days, default=None),
            )
        )
    return said


def _curve(mean: Array, sd: Array) -> tuple[Array, Array, Array]:
    return mean, np.maximum(mean - EIGHTY * sd, 0.0), mean + EIGHTY * sd


def _equilibrium(judgement: Judgement, board: int, days: Array) -> Array:
    """What the place would make of the stack's first board, day by day."""
    findings = judgement.findings
    copies = np.flatnonzero(findings.board_source == board)
    copy = copies[findings.weight_of_board[copies].argmax()]
    posterior = findings.posterior
    rows = np.full(len(days), copy)
    return posterior.curve.untroubled_path(posterior.mode.member, posterior.mode.group, rows, days)[
        0
    ]


def _picture_readings(judged: _Judged, rows: Index) -> list[PictureReading]:
    layout, judgement = judged.layout, judged.judgement
    mine = layout.frame[layout.frame["row"].isin(rows)]
    doubtful = _doubtful(judgement, len(layout.frame)) if judgement else np.zeros(0, bool)
    marks = layout.table["board"]
    return [
        PictureReading(
            board=marks.iloc[row["row"]],
            on=row["read_on"].date(),
            shown=row["shown"],
            corrected_pct=row["value_pct"],
            over=bool(row["over"]),
            under=bool(row["under"]),
            doubtful=bool(doubtful[at]),
        )
        for at, row in zip(mine.index, mine.to_dict("records"), strict=True)
    ]


def _doubtful(judgement: Judgement, readings: int) -> Flags:
    """Which readings are far off under the likeliest course of events of their stack."""
    findings = judgement.findings
    posterior = findings.posterior
    away = np.abs(posterior.error.surprise(posterior.fitted_pct())) > DOUBTFUL_SD
    weight = findings.weight_of_board[posterior.error.readings.board]
    share = np.bincount(findings.reading_source, weight * away, readings)
    return np.asarray(share > 0.5)  # noqa: PLR2004  more likely than not


def _witness(session: Session, stack: Stack, as_of: date) -> list[tuple[date, float]]:
    """What the witness boards of the stack's places were read at."""
    places = {stay.place_id for stay in stays_of_stack(session, stack)}
    boards = {w.id: w for w in live_witness_boards(session) if w.place_id in places}
    if not boards:
        return []
    frame = readings_frame(session, of=Reading.witness_board_id.in_(boards))
    frame = frame[frame["read_on"] <= np.datetime64(as_of, "s")]
    species = frame["witness_id"].map({key: w.species for key, w in boards.items()})
    numbers: pd.DataFrame = corrected(frame, species)
    numbers = numbers[~(numbers["over"] | numbers["under"])].sort_values("read_on")
    days = numbers["read_on"].dt.date
    return list(zip(days, numbers["value_pct"].tolist(), strict=True))
