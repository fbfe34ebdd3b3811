"""Note what was done to, or seen on, a log, a board or a stack."""

from datetime import date
from typing import Any

from sqlalchemy.orm import Session

from webapp.records.batch import Batch
from webapp.records.board import Board
from webapp.records.event import Event
from webapp.records.log import Log
from webapp.records.stack import Stack
from webapp.yard.checks import day_that_came


def note_event(
    session: Session,
    batch: Batch,
    subject: Log | Board | Stack,
    kind: str,
    on_date: date,
    *,
    detail: dict[str, Any] | None = None,
    changes_air: bool = False,
) -> Event:
    """Write down an event; raises Refused for a day that has not come."""
    day_that_came(batch, on_date, f"“{kind}”")
    event = Event(
        batch=batch,
        log=subject if isinstance(subject, Log) else None,
        board=subject if isinstance(subject, Board) else None,
        stack=subject if isinstance(subject, Stack) else None,
        kind=kind,
        on_date=on_date,
        detail=detail,
        changes_air=changes_air,
    )
    session.add(event)
    session.flush()
    return event
