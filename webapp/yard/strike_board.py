"""Strike a board that was entered by mistake, with where it lay."""

from sqlalchemy.orm import Session

from webapp.problems import Conflict
from webapp.records.batch import Batch
from webapp.records.board import Board, stays_of_board
from webapp.records.event import events_of
from webapp.records.reading import last_reading_of
from webapp.yard.hanging import refuse_hanging
from webapp.yard.strike_record import strike_record


def strike_board(session: Session, batch: Batch, board: Board, why: str) -> None:
    """Strike a board out; raises Conflict if it was read."""
    last = last_reading_of(session, board)
    if last is not None:
        raise Conflict(
            f"“{board.mark}” was read, last on {last.read_on}. "
            "Strike its readings out first; or, if it has gone, move it out of its stack instead."
        )
    for record in (*stays_of_board(session, board), *events_of(session, board), board):
        strike_record(session, batch, record, why)
    refuse_hanging(session, batch, "strike that out first")
