"""Gather what a chart of one stack shows: curves, readings, the place, moves, witness boards."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from webapp.drying.judge import EIGHTY, METER_BIAS_SD_PCT
from webapp.drying.standing import DOUBTFUL_SD
from webapp.records.reading import Reading
from webapp.records.stack import stays_of_stack
from webapp.records.witness_board import live_witness_boards
from webapp.yard.correct_readings import corrected, readings_frame
from webapp.yard.lay_out import day_number
from webapp.yard.work_out import work_out

if TYPE_CHECKING:
    from datetime import date

    import pandas as pd
    from numpy.typing import NDArray
    from sqlalchemy.orm import Session

    from webapp.drying.arrays import Array, Flags, Index
    from webapp.drying.judge import Judgement
    from webapp.records.stack import Stack, StackStay
    from webapp.yard.work_out import Worked

# How far ahead a picture goes.
PICTURE_DAYS = 550.0
MORE_LIKELY_THAN_NOT = 0.5


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


def picture_stack(session: Session, stack: Stack, as_of: date) -> StackPicture:
    """Gather the curves, readings and events of one stack for its chart."""
    judged = work_out(session, as_of)
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


def _curve(mean: Array, sd: Array) -> tuple[Array, Array, Array]:
    half = EIGHTY * np.hypot(sd, METER_BIAS_SD_PCT)
    return mean, np.maximum(mean - half, 0.0), mean + half


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


def _picture_readings(judged: Worked, rows: Index) -> list[PictureReading]:
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
    return np.asarray(share > MORE_LIKELY_THAN_NOT)


def _witness(session: Session, stack: Stack, as_of: date) -> list[tuple[date, float]]:
    """What the witness boards were read at while the stack stood beside them."""
    stays = stays_of_stack(session, stack)
    places = {stay.place_id for stay in stays}
    boards = {w.id: w for w in live_witness_boards(session) if w.place_id in places}
    if not boards:
        return []
    frame = readings_frame(session, of=Reading.witness_board_id.in_(boards))
    frame = frame[frame["read_on"] <= np.datetime64(as_of, "s")]
    species = frame["witness_id"].map({key: w.species for key, w in boards.items()})
    numbers: pd.DataFrame = corrected(frame, species)
    numbers = numbers[~(numbers["over"] | numbers["under"])]
    read = zip(
        numbers["witness_id"],
        numbers["read_on"].dt.date,
        numbers["value_pct"].tolist(),
        strict=True,
    )
    return [
        (day, pct)
        for key, day, pct in read
        if any(_stood(stay, boards[key].place_id, day) for stay in stays)
    ]


def _stood(stay: StackStay, place_id: int, day: date) -> bool:
    """Whether a stay was at a place on a day; on the day of a move the old place counts too."""
    ended = stay.until_on is not None and day > stay.until_on
    return stay.place_id == place_id and stay.from_on <= day and not ended
