"""Move a board to another stack, or out of the yard's stacks."""

from datetime import date

from sqlalchemy.orm import Session

from webapp.problems import Refused
from webapp.records.batch import Batch
from webapp.records.board import Board, BoardStay, stays_of_board
from webapp.records.stack import Stack, place_of, stays_of_stack
from webapp.yard.check_stays import check_stays
from webapp.yard.checks import day_that_came, short_text


def move_board(
    session: Session,
    batch: Batch,
    board: Board,
    stack: Stack | None,
    moved_on: date,
    why: str | None = None,
) -> BoardStay:
    """Write down a move; without a stack the board leaves the yard's stacks.

    Raises Refused for a day on which it cannot be, Conflict if readings taken later contradict it.
    """
    day_that_came(batch, moved_on, f"A move of “{board.mark}”")
    if stack is not None:
        _check_stands(session, board, stack, moved_on)
    told = short_text(why) if why else None
    stays = stays_of_board(session, board)
    if stays:
        last = stays[-1]
        _check_move(board, last, stack, moved_on, told)
        last.until_on = moved_on
        session.flush()
    stay = BoardStay(batch=batch, board=board, stack=stack, from_on=moved_on, why=told)
    session.add(stay)
    session.flush()
    check_stays(session, batch)
    return stay


def _check_stands(session: Session, board: Board, stack: Stack, moved_on: date) -> None:
    if place_of(session, stack, moved_on) is not None:
        return
    stays = stays_of_stack(session, stack)
    if not stays:
        raise Refused(f"Stack “{stack.mark}” stands nowhere yet: set it up at a place first.")
    raise Refused(
        f"“{board.mark}” cannot lie in stack “{stack.mark}” on {moved_on}: "
        f"the stack was set up on {stays[0].from_on}."
    )


def _check_move(
    board: Board, last: BoardStay, stack: Stack | None, moved_on: date, why: str | None
) -> None:
    if moved_on <= last.from_on:
        came = "left the stacks" if last.stack is None else f"came to “{last.stack.mark}”"
        raise Refused(f"“{board.mark}” {came} on {last.from_on}; it cannot move on {moved_on}.")
    if last.stack_id != (stack.id if stack else None):
        return
    if stack is not None:
        raise Refused(f"“{board.mark}” already is in stack “{stack.mark}”.")
    # What was set aside may be sold one day: it lies in no stack, but for another cause.
    if why == last.why:
        told = f": {why}" if why else ""
        raise Refused(f"“{board.mark}” already is out of the yard's stacks{told}.")
