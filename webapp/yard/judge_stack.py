"""Judge a yard on a day: what is said of every board, and of every stack from its boards."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from webapp.drying.stack_verdict import judge_stack
from webapp.records.stack import Stack
from webapp.yard.lay_out import date_of
from webapp.yard.work_out import work_out

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from sqlalchemy.orm import Session

    from webapp.drying.verdict import Fit, State, Verdict
    from webapp.yard.lay_out import Layout


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


def judge_yard(session: Session, as_of: date) -> YardVerdict:
    """Judge every board that lies in a stack on a day, and every stack, from what was known then.

    Boards come by stack and mark, stacks by mark.
    """
    judged = work_out(session, as_of)
    if judged.judgement is None:
        return YardVerdict([], [])
    boards = _board_verdicts(judged.layout, judged.judgement.verdicts, as_of)
    return YardVerdict(boards, _stack_verdicts(session, judged.layout, boards, as_of))


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
