"""Records that hang on others: none may stay live when what it belongs to is struck."""

from collections.abc import Iterator

from sqlalchemy import Column, Select, Table, select
from sqlalchemy.orm import Session, aliased

from webapp.problems import Conflict
from webapp.records import (
    Batch,
    Board,
    BoardStay,
    Log,
    Meter,
    Place,
    Reading,
    Record,
    Stack,
    StackStay,
    WitnessBoard,
)
from webapp.records.batch import changed_in
from webapp.records.history import kind_named
from webapp.yard.naming import named, sentence

# What a reading replaces is struck, and stays so.
_MAY_BE_STRUCK = {Reading.__table__.c.replaces_id}

_VERBS: dict[tuple[type[Record], type[Record]], str] = {
    (Board, Log): "came from",
    (BoardStay, Stack): "lay in",
    (Reading, Board): "belongs to",
    (Reading, Meter): "was taken with",
    (Reading, WitnessBoard): "belongs to",
    (StackStay, Place): "stood at",
    (WitnessBoard, Place): "lies at",
}
_MOST_COUNTED = 1000


def refuse_hanging(session: Session, batch: Batch, first: str) -> None:
    """Refuse if the batch struck something on which live records hang.

    `first` is what to do with “it” or “them”, such as: Strike {them} out first.
    """
    for wanted in _orphans(batch, struck_now=True):
        hanging = session.execute(wanted.limit(_MOST_COUNTED)).all()
        if hanging:
            child, parent = hanging[0]
            others = len({named(_subject(other)) for other, _parent in hanging}) - 1
            more = f" and {others} more" if others else ""
            verb = _VERBS.get((type(child), type(parent)), "hangs on")
            what = f"{sentence(named(_subject(child)))}{more} {verb} {named(parent)}."
            raise Conflict(f"{what} {first.format(them='them' if others else 'it')}")


def refuse_orphans(session: Session, batch: Batch) -> None:
    """Refuse if the batch brought something back whose belongings were struck meanwhile."""
    for wanted in _orphans(batch, struck_now=False):
        for child, parent in session.execute(wanted.limit(1)):
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
            )


def _subject(child: Record) -> Record:
    """Speak of a board or a stack rather than of its stay."""
    if isinstance(child, BoardStay):
        return child.board
    return child.stack if isinstance(child, StackStay) else child


def _links(child: type[Record]) -> Iterator[tuple[Column[int], type[Record]]]:
    table: Table = child.__table__  # type: ignore[assignment]
    for key in table.foreign_keys:
        if key.parent not in _MAY_BE_STRUCK and key.column.table.name != Batch.__tablename__:
            yield key.parent, kind_named(key.column.table.name)
