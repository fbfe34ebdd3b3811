"""Strike a place that was entered by mistake, with its months and its own air records."""

from sqlalchemy.orm import Session

from webapp.problems import Conflict
from webapp.records.batch import Batch
from webapp.records.place import Place, air_at, months_of
from webapp.records.stack import stays_at
from webapp.records.witness_board import witness_boards_at
from webapp.yard.strike_record import strike_record

_MOST_NAMED = 6


def strike_place(session: Session, batch: Batch, place: Place, why: str) -> None:
    """Strike a place out; raises Conflict if stacks stood or witness boards lie there."""
    stood = list(dict.fromkeys(stay.stack.mark for stay in stays_at(session, place)))
    if stood:
        raise Conflict(
            f"“{place.name}” is part of the history of stacks that stood there: {_listed(stood)}. "
            "Its name, kind and air can still be changed."
        )
    lying = [witness.mark for witness in witness_boards_at(session, place)]
    if lying:
        raise Conflict(
            f"Witness boards lie at “{place.name}”: {_listed(lying)}. See to them first."
        )
    for record in (*months_of(session, place), *air_at(session, place), place):
        strike_record(session, batch, record, why)


def _listed(marks: list[str]) -> str:
    more = f" and {len(marks) - _MOST_NAMED} more" if len(marks) > _MOST_NAMED else ""
    return ", ".join(f"“{mark}”" for mark in marks[:_MOST_NAMED]) + more
