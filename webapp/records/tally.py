"""How much is written down in a yard: whether somebody has just begun."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import func, select

from webapp.records.board import Board
from webapp.records.place import Place
from webapp.records.reading import Reading
from webapp.records.stack import Stack

if TYPE_CHECKING:
    from sqlalchemy.orm import Session


@dataclass(frozen=True)
class Tally:
    """How many live places, stacks and boards there are, and on how many days boards were read."""

    places: int
    stacks: int
    boards: int
    days_read: int


def tally(session: Session) -> Tally:
    """Count a yard's records."""
    places, stacks, boards = (
        session.scalar(select(func.count()).select_from(kind).where(kind.live())) or 0
        for kind in (Place, Stack, Board)
    )
    days = session.scalar(
        select(func.count(Reading.read_on.distinct())).where(
            Reading.live(), Reading.board_id.is_not(None)
        )
    )
    return Tally(places, stacks, boards, days_read=days or 0)
