"""Lines of the yard page, made without a database: a stack, its boards and what is said of them."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from webapp.drying.verdict import Fit, State, Verdict
from webapp.pages.stack_lines import Piece, StackLine
from webapp.records import Board, Place, Stack
from webapp.yard.judge_stack import BoardVerdict, StackVerdict

AS_OF = date(2025, 3, 10)
READ_ON = AS_OF - timedelta(days=18)
NEVER = float("nan")
SAID = StackVerdict(
    stack_mark="W",
    stack_id=1,
    as_of=AS_OF,
    state=State.DRYING,
    reason="drying",
    numbers={},
    troubled=(),
    fit=Fit.NO,
    boards_fit=0,
    boards_read=4,
    board_count=4,
    ready_on=None,
    ready_from=None,
    ready_to=None,
    wettest=20.0,
    last_read_on=READ_ON,
)


def made_line(  # noqa: PLR0913  a line has many parts, each with a usual one
    states: Sequence[State] = (State.DRYING,),
    levels: Sequence[float] = (),
    *,
    fit: Fit = Fit.NO,
    target_pct: float | None = None,
    use: str | None = None,
    place: str | None = "Long shed",
    kind: str = "open_shed",
    sawn_on: date | None = None,
    stacked_on: date | None = None,
    **said: Any,
) -> StackLine:
    """Make a line of boards W1, W2 ... in these states; what else is said of the stack by name."""
    stack = Stack(id=1, mark="W", code="WWWW", target_pct=target_pct, use=use)
    boards = [
        _board(n, state, levels[n] if n < len(levels) else 15.0, fit, target_pct)
        for n, state in enumerate(states)
    ]
    troubled = (State.STALLED, State.GETTING_WETTER)
    given: dict[str, Any] = {
        "troubled": tuple(b.board_mark for b in boards if b.verdict.state in troubled),
        "board_count": len(boards),
        "boards_read": len(boards),
        "fit": fit,
    }
    pieces = tuple(
        Piece(Board(mark=b.board_mark, species="white oak", thickness_mm=27.0), b, use)
        for b in boards
    )
    where = None if place is None else Place(name=place, kind=kind)
    stack_said = replace(SAID, **(given | said))
    return StackLine(stack, where, stack_said, pieces, "white oak 27 mm", sawn_on, stacked_on)


def _board(
    n: int, state: State, level_pct: float, fit: Fit, target_pct: float | None
) -> BoardVerdict:
    verdict = Verdict(
        state, 0.95, level_pct, level_pct - 1, level_pct + 1, 2.0, 13.0, fit, NEVER, NEVER, NEVER,
        "drying",
    )  # fmt: skip
    return BoardVerdict("W", f"W{n + 1}", n + 1, AS_OF, verdict, target_pct, READ_ON, "15")
