"""Change what is known of a board, also when it was first stacked."""

from datetime import date

from sqlalchemy.orm import Session

from webapp.entry.entries import BoardEntry
from webapp.problems import Refused
from webapp.records.batch import Batch
from webapp.records.board import Board, BoardStay, board_marked, stays_of_board
from webapp.records.log import log_marked
from webapp.records.stack import stays_of_stack
from webapp.yard.check_stays import check_stays
from webapp.yard.checks import day_that_came, free_mark, known, known_species

FACTS = (
    "thickness_mm",
    "width_mm",
    "width_end_mm",
    "length_mm",
    "grain",
    "sawn_on",
    "turn",
    "target_pct",
    "borate",
)


def change_board(session: Session, batch: Batch, board: Board, entry: BoardEntry) -> Board:
    """Write the new facts down; its first stay begins on the day of the entry.

    Where in the stack it lies is left as it is. Raises Conflict for another's mark or where
    readings would fall outside its stays, NotFound for an unknown log, Refused for a day on which
    it cannot have been stacked.
    """
    namesake = board_marked(session, entry.board)
    board.mark = free_mark(namesake if namesake is not board else None, "board", entry.board)
    board.species = known_species(entry.species)
    for fact in FACTS:
        setattr(board, fact, getattr(entry, fact))
    log = log_marked(session, entry.log) if entry.log is not None else None
    board.log = None if entry.log is None else known(log, "log", entry.log)
    from_on = day_that_came(batch, entry.stacked_on, f"Stacking “{board.mark}”")
    stays = stays_of_board(session, board)
    if stays and stays[0].from_on != from_on:
        _stack_anew(session, board, stays[0], from_on)
    session.flush()
    check_stays(session, batch)
    return board


def _stack_anew(session: Session, board: Board, first: BoardStay, from_on: date) -> None:
    if first.until_on is not None and from_on >= first.until_on:
        raise Refused(
            f"“{board.mark}” moved on {first.until_on}; it was stacked before that day, "
            f"not on {from_on}."
        )
    stands = stays_of_stack(session, first.stack) if first.stack else []
    if first.stack and stands and from_on < stands[0].from_on:
        raise Refused(
            f"“{board.mark}” cannot lie in stack “{first.stack.mark}” on {from_on}: "
            f"the stack was set up on {stands[0].from_on}."
        )
    first.from_on = from_on
