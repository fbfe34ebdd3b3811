"""Recount what batches did: what they wrote, struck and changed, kind by kind, in few queries."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from sqlalchemy import func, literal, or_, select, union_all
from sqlalchemy.orm import Session, joinedload
from sqlalchemy.orm.interfaces import ORMOption

from webapp.records import (
    Air,
    Batch,
    BoardStay,
    Change,
    Event,
    PlaceMonth,
    Reading,
    Record,
    Round,
    StackStay,
)
from webapp.records.history import kind_named

# Of so many records of a kind each one is brought; of more, the first and the last.
FEW = 12
_WITH: dict[type[Record], tuple[ORMOption, ...]] = {
    Air: (joinedload(Air.place),),
    BoardStay: (joinedload(BoardStay.board), joinedload(BoardStay.stack)),
    Event: (joinedload(Event.log), joinedload(Event.board), joinedload(Event.stack)),
    PlaceMonth: (joinedload(PlaceMonth.place),),
    Reading: (joinedload(Reading.board), joinedload(Reading.witness_board)),
    Round: (joinedload(Round.stack),),
    StackStay: (joinedload(StackStay.stack), joinedload(StackStay.place)),
}


@dataclass(frozen=True)
class Some:
    """So many records of one kind: all of them if they are few, else the first and the last."""

    count: int
    records: tuple[Any, ...]
    columns: frozenset[str] = frozenset()


@dataclass
class Recount:
    """What one batch did, by kind of record, and the batch that undoes it."""

    batch: Batch
    undone_by: Batch | None = None
    wrote: dict[type[Record], Some] = field(default_factory=dict)
    struck: dict[type[Record], Some] = field(default_factory=dict)
    changed: dict[type[Record], Some] = field(default_factory=dict)

    @property
    def is_empty(self) -> bool:
        """Whether it did nothing, as when a form is saved as it was."""
        return not (self.wrote or self.struck or self.changed)


def recount(session: Session, batches: Sequence[Batch]) -> list[Recount]:
    """Tell what each of these batches did."""
    found = {batch.id: Recount(batch) for batch in batches}
    _add_undoings(session, found)
    _add_written(session, found)
    _add_changed(session, found)
    return list(found.values())


def _add_undoings(session: Session, found: dict[int, Recount]) -> None:
    by_uid = {each.batch.uid: each for each in found.values()}
    wanted = select(Batch).where(Batch.undoes_uid.in_(by_uid), Batch.undone_at.is_(None))
    for undoing in session.scalars(wanted.order_by(Batch.id)):
        if undoing.undoes_uid is not None:
            by_uid[undoing.undoes_uid].undone_by = undoing


def _add_written(session: Session, found: dict[int, Recount]) -> None:
    counts = union_all(
        *(
            select(
                literal(kind.__tablename__), kind.batch_id, func.count(), func.min(kind.id),
                func.max(kind.id),
            )
            .where(kind.batch_id.in_(found))
            .group_by(kind.batch_id)
            for kind in Record.__subclasses__()
        )
    )  # fmt: skip
    by_kind: dict[type[Record], dict[int, tuple[int, int, int]]] = defaultdict(dict)
    for table_name, batch_id, count, first, last in session.execute(counts):
        by_kind[kind_named(table_name)][batch_id] = (count, first, last)
    for kind, of_batches in by_kind.items():
        few = [batch_id for batch_id, (count, *_) in of_batches.items() if count <= FEW]
        ends = [key for count, *keys in of_batches.values() if count > FEW for key in keys]
        wanted = select(kind).where(or_(kind.batch_id.in_(few), kind.id.in_(ends)))
        brought: dict[int, list[Record]] = defaultdict(list)
        for record in session.scalars(wanted.options(*_WITH.get(kind, ())).order_by(kind.id)):
            brought[record.batch_id].append(record)
        for batch_id, (count, *_) in of_batches.items():
            found[batch_id].wrote[kind] = Some(count, tuple(brought[batch_id]))


def _add_changed(session: Session, found: dict[int, Recount]) -> None:
    """Look at the first few changes of each batch and table; the rest are only counted."""
    same = (Change.batch_id, Change.table_name)
    ranked = (
        select(
            Change.id,
            func.row_number().over(partition_by=same, order_by=Change.id).label("rank"),
            func.count().over(partition_by=same).label("total"),
        )
        .where(Change.batch_id.in_(found))
        .subquery()
    )
    wanted = (
        select(Change, ranked.c.total)
        .join(ranked, ranked.c.id == Change.id)
        .where(ranked.c.rank <= FEW)
        .order_by(Change.id)
    )
    groups: dict[tuple[int, type[Record]], list[Change]] = defaultdict(list)
    totals: dict[tuple[int, type[Record]], int] = {}
    for change, total in session.execute(wanted):
        key = (change.batch_id, kind_named(change.table_name))
        groups[key].append(change)
        totals[key] = total
    records = _records(session, groups)
    for (batch_id, kind), changes in groups.items():
        _sort_in(found[batch_id], kind, changes, totals[batch_id, kind], records)


def _records(
    session: Session, groups: dict[tuple[int, type[Record]], list[Change]]
) -> dict[UUID, Record]:
    uids: dict[type[Record], set[UUID]] = defaultdict(set)
    for (_batch_id, kind), changes in groups.items():
        uids[kind] |= {change.row_uid for change in changes}
    return {
        record.uid: record
        for kind, wanted in uids.items()
        for record in session.scalars(
            select(kind).where(kind.uid.in_(wanted)).options(*_WITH.get(kind, ()))
        )
    }


def _sort_in(
    told: Recount,
    kind: type[Record],
    changes: Sequence[Change],
    total: int,
    records: dict[UUID, Record],
) -> None:
    """Tell strikes from edits; what the batch wrote itself is told as written."""
    strikes: dict[UUID, Record] = {}
    edits: dict[UUID, Record] = {}
    columns: set[str] = set()
    for change in changes:
        record = records[change.row_uid]
        if record.batch_id == told.batch.id:
            continue
        if change.after.get("struck_at") is not None:
            strikes[record.uid] = record
        else:
            edits[record.uid] = record
            columns |= set(change.after)
    # Those that were only counted are like the first ones.
    more = total - len(changes)
    if strikes:
        told.struck[kind] = Some(len(strikes) + more, tuple(strikes.values()))
    if edits:
        count = len(edits) + (0 if strikes else more)
        told.changed[kind] = Some(count, tuple(edits.values()), frozenset(columns))
