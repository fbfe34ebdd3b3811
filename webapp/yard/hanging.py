"""Records that hang on others: none may stay live when what it belongs to is struck."""

from collections.abc import Iterator

from sqlalchemy import Column, Select, Table, select
from sqlalchemy.orm import Session, aliased

from webapp.problems import Conflict
from webapp.records import Batch, Reading, Record
from webapp.records.batch import changed_in
from webapp.records.history import kind_named
from webapp.yard.naming import named, sentence

# What a reading replaces is struck, and stays so.
_MAY_BE_STRUCK = {Reading.__table__.c.replaces_id}


def refuse_hanging(session: Session, batch: Batch, first: str) -> None:
    """Refuse if the batch struck something on which live records hang.

    `first` says what to do with them first.
    """
    for wanted in _orphans(batch, struck_now=True):
        for child, parent in session.execute(wanted):
            raise Conflict(f"{sentence(named(child))} hangs on {named(parent)}: {first}.")


def refuse_orphans(session: Session, batch: Batch) -> None:
    """Refuse if the batch brought something back whose belongings were struck meanwhile."""
    for wanted in _orphans(batch, struck_now=False):
        for child, parent in session.execute(wanted):
            raise Conflict(
                f"{sentence(named(child))} cannot come back: {named(parent)} is struck out."
            )


def _orphans(batch: Batch, *, struck_now: bool) -> Iterator[Select[Record, Record]]:
    """Select live records that hang on a struck one, of which the batch changed one."""
    for child in Record.__subclasses__():
        for column, parent_kind in _links(child):
            parent = aliased(parent_kind)
            touched = parent if struck_now else child
            yield (
                select(child, parent)
                .join(parent, column == parent.id)
                .where(child.live(), parent.struck_at.is_not(None))
                .where(touched.uid.in_(changed_in(batch, touched.__tablename__)))
                .order_by(child.id)
                .limit(1)
            )


def _links(child: type[Record]) -> Iterator[tuple[Column[int], type[Record]]]:
    table: Table = child.__table__  # type: ignore[assignment]
    for key in table.foreign_keys:
        if key.parent not in _MAY_BE_STRUCK and key.column.table.name != Batch.__tablename__:
            yield key.parent, kind_named(key.column.table.name)
