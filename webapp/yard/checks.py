"""What every verb checks first: marks that are free, names that are known, days that have come."""

from datetime import date, timedelta
from typing import TypeVar
from uuid import UUID

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.entry.fields import Unreadable, line
from webapp.entry.kinds import species
from webapp.problems import Conflict, NotFound, Refused
from webapp.records.batch import Batch
from webapp.records.record import Record, new_uid

Found = TypeVar("Found")
# Somewhere on earth it is already this much later than in UTC.
_FARTHEST_EAST = timedelta(hours=14)


def free_mark(taken: Record | None, what: str, mark: str) -> str:
    """Give the mark back if nothing bears it; raises Conflict."""
    if taken is not None:
        raise Conflict(f"There is already a {what} “{mark}” in the yard; take another mark.")
    return mark


def known(found: Found | None, what: str, mark: str) -> Found:
    """Give back what was found; raises NotFound."""
    if found is None:
        raise NotFound(f"There is no {what} “{mark}” in the yard.")
    return found


def known_species(text: str) -> str:
    """Give the species' name as the table has it; raises Refused with the choices."""
    try:
        return species(text)
    except Unreadable as error:
        raise Refused(f"{error}.") from None


def short_text(text: str) -> str:
    """Give a short text in one line; raises Refused."""
    try:
        return line(text)
    except Unreadable as error:
        raise Refused(f"{error}.") from None


def day_that_came(batch: Batch, day: date, what: str) -> date:
    """Give the day back if it has come somewhere on earth; raises Refused."""
    if day > (batch.at + _FARTHEST_EAST).date():
        raise Refused(f"{what} on {day} lies in the future.")
    return day


def fresh_uid(session: Session, kind: type[Record], uid: UUID | None) -> UUID:
    """Give the id made by whoever made the record, or make one; raises Conflict if it is taken."""
    if uid is not None and session.scalars(select(kind.id).where(kind.uid == uid)).first():
        raise Conflict("Something else was already kept under this id.")
    return uid or new_uid()


def uid_or_new(uid: UUID | None) -> UUID:
    """Give the id made by whoever made the record, or make one."""
    return uid or new_uid()
