"""Notice what others changed while a form was being filled in."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from webapp.problems import Conflict
from webapp.records.batch import Change
from webapp.records.history import kind_named, typed
from webapp.records.record import Record
from webapp.yard.naming import mark_of, named, sentence


@dataclass(frozen=True)
class Meanwhile:
    """A field that somebody else changed: its value when the form was drawn, and now.

    Values are what the column holds; a column that refers to a record gives that record's mark.
    """

    field: str
    before: Any
    now: Any
    by: str | None
    at: datetime


def newest_change(session: Session) -> int:
    """Tell how far the history goes: what a form knows when it is drawn."""
    return session.scalar(select(func.max(Change.id))) or 0


def changes_meanwhile(
    session: Session, fields: Mapping[str, tuple[Record, str]], seen: int
) -> list[Meanwhile]:
    """List the fields that changed since; raises Conflict if one of the records was struck.

    `fields` gives the record and the column behind each field of the form, `seen` what
    `newest_change` told when it was drawn. What was changed and changed back is left out.
    """
    for record, _column in fields.values():
        if not record.is_live:
            by = f" by {record.struck_by}" if record.struck_by else ""
            raise Conflict(f"{sentence(named(record))} was struck out meanwhile{by}.")
    since = _changes_since(session, [record for record, _column in fields.values()], seen)
    found = (
        _meanwhile(session, field, record, column, since.get(_key(record), []))
        for field, (record, column) in fields.items()
    )
    return [change for change in found if change is not None]


_Key = tuple[str, object]


def _key(record: Record) -> _Key:
    return record.__tablename__, record.uid


def _changes_since(session: Session, records: list[Record], seen: int) -> dict[_Key, list[Change]]:
    uids = {record.uid for record in records}
    wanted = select(Change).where(Change.id > seen, Change.row_uid.in_(uids)).order_by(Change.id)
    since: dict[_Key, list[Change]] = {}
    for change in session.scalars(wanted):
        since.setdefault((change.table_name, change.row_uid), []).append(change)
    return since


def _meanwhile(
    session: Session, field: str, record: Record, column: str, since: list[Change]
) -> Meanwhile | None:
    touched = [change for change in since if column in change.before]
    if not touched:
        return None
    kind = type(record)
    before, now = typed(kind, column, touched[0].before[column]), getattr(record, column)
    if before == now:
        return None
    batch = touched[-1].batch
    return Meanwhile(
        field,
        before=_said(session, kind, column, before),
        now=_said(session, kind, column, now),
        by=batch.person,
        at=batch.at,
    )


def _said(session: Session, kind: type[Record], column: str, value: object) -> object:
    keys = kind.__table__.c[column].foreign_keys
    if not keys or value is None:
        return value
    (key,) = keys
    return mark_of(session.get_one(kind_named(key.column.table.name), value))
