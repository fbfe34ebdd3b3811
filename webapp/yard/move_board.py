"""Move a board to another stack, or out of the yard's stacks."""

from datetime import date

from sqlalchemy.orm import Session

from webapp.problems import Refused
from webapp.records.batch import Batch
from webapp.records.board import Board, BoardStay, stays_of_board
from webapp.records.stack import Stack, place_of
from webapp.yard.checks import day_that_came, short_text


def move_board(
    session: Session,
    batch: Batch,
    board: Board,
    stack: Stack | None,
    moved_on: date,
    why: str | None = None,
) -> BoardStay:
    """Write down a move; without a stack the board leaves the yard's stacks; raises Refused."""
    day_that_came(batch, moved_on, f"A move of “{board.mark}”")
    if stack is not None and place_of(session, stack, moved_on) is None:
        raise Refused(f"Stack “{stack.mark}” does not stand anywhere on {moved_on}.")
    stays = stays_of_board(session, board)
    if stays:
        last = stays[-1]
        _check_move(board, last, stack, moved_on)
        last.until_on = moved_on
        session.flush()
    told = short_text(why) if why else None
    stay = BoardStay(batch=batch, board=board, stack=stack, from_on=moved_on, why=told)
    session.add(stay)
    session.flush()
    return stay


def _check_move(board: Board, last: BoardStay, stack: Stack | None, moved_on: date) -> None:
    if moved_on <= last.from_on:
        came = "left the stacks" if last.stack is None else f"came to “{last.stack.mark}”"
        raise Refused(f"“{board.mark}” {came} on {last.from_on}; it cannot move on {moved_on}.")
    if last.stack_id == (stack.id if stack else None) and last.until_on is None:
        where = "out of the yard's stacks" if stack is None else f"in stack “{stack.mark}”"
        raise Refused(f"“{board.mark}” already is {where}.")
