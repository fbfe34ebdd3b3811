"""Keeps the history: every edit or strike leaves a Change, and nothing is deleted."""

from datetime import date, datetime
from typing import Any, cast
from uuid import UUID

from sqlalchemy import JSON, Connection, Table, event, insert, inspect, select
from sqlalchemy.orm import Mapper, ORMExecuteState, Session, object_session

from webapp.records.batch import Batch, Change, batch_of
from webapp.records.database import UtcDateTime, YardSession
from webapp.records.record import Record


@event.listens_for(Record, "before_insert", propagate=True)
def _date_and_sign(_mapper: Mapper[Any], connection: Connection, record: Record) -> None:
    """Put a new record in the session's batch, dated like it, unless it says otherwise."""
    if record.batch_id is None:
        record.batch_id = _batch_for(record).id
    if record.created_at is None:
        record.created_at = connection.scalars(
            select(Batch.at).where(Batch.id == record.batch_id)
        ).one()


@event.listens_for(Record, "before_update", propagate=True)
def _note_change(mapper: Mapper[Any], connection: Connection, record: Record) -> None:
    """Keep before and after; the row itself is asked, as attributes may never have been loaded."""
    table = cast("Table", mapper.local_table)
    row = connection.execute(select(table).where(table.c.id == record.id)).mappings().one()
    loaded = inspect(record).dict
    changed = [name for name, old in row.items() if name in loaded and loaded[name] != old]
    if changed:
        change = {
            "batch_id": _batch_for(record).id,
            "table_name": table.name,
            "row_uid": record.uid,
            "before": {name: plain_of(row[name]) for name in changed},
            "after": {name: plain_of(loaded[name]) for name in changed},
        }
        connection.execute(insert(Change).values(change))


@event.listens_for(Record, "before_delete", propagate=True)
def _refuse_deletion(_mapper: Mapper[Any], _connection: Connection, record: Record) -> None:
    raise TypeError(f"a {record.__tablename__} is struck, never deleted")


@event.listens_for(YardSession, "do_orm_execute")
def _refuse_silent_changes(asked: ORMExecuteState) -> None:
    """Refuse an UPDATE or DELETE of many rows at once: it would pass the history by."""
    mapper = asked.bind_mapper if asked.is_update or asked.is_delete else None
    if mapper is not None and issubclass(mapper.class_, Record):
        raise TypeError(f"change each {mapper.class_.__name__} by itself, so that history is kept")


def _batch_for(record: Record) -> Batch:
    # A record that is being flushed is always in a session.
    return batch_of(cast("Session", object_session(record)))


def plain_of(value: object) -> object:
    """Turn what a column holds into what a Change keeps of it."""
    if isinstance(value, datetime | date):
        return value.isoformat()
    return str(value) if isinstance(value, UUID) else value


def kind_named(table_name: str) -> type[Record]:
    """Bring the kind of record that is kept in a table."""
    return next(kind for kind in Record.__subclasses__() if kind.__tablename__ == table_name)


def typed(kind: type[Record], column: str, plain: Any) -> Any:  # noqa: ANN401 - any column's value
    """Turn what a Change keeps of a column back into what the column holds."""
    type_ = kind.__table__.c[column].type
    if plain is None or isinstance(type_, JSON):
        return plain
    if isinstance(type_, UtcDateTime):
        return datetime.fromisoformat(plain)
    python_type = type_.python_type
    if python_type is date:
        return date.fromisoformat(plain)
    return plain if isinstance(plain, python_type) else python_type(plain)
