"""The boards before and after one in its stack, in the order people count."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from webapp.records.board import boards_of
from webapp.yard.lay_out import as_counted

if TYPE_CHECKING:
    from datetime import date

    from sqlalchemy.orm import Session

    from webapp.records.board import Board
    from webapp.records.stack import Stack


class Neighbours(NamedTuple):
    """Who lies before and after; None at the ends."""

    before: Board | None
    after: Board | None


def neighbours_of(session: Session, board: Board, stack: Stack | None, day: date) -> Neighbours:
    """Find the boards on either side, so that a stack can be gone through board by board."""
    if stack is None:
        return Neighbours(None, None)
    boards = sorted(boards_of(session, stack, day), key=lambda one: as_counted(one.mark))
    keys = [one.id for one in boards]
    at = keys.index(board.id)
    return Neighbours(
        boards[at - 1] if at > 0 else None, boards[at + 1] if at + 1 < len(boards) else None
    )
