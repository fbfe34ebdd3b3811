"""What a batch did to each row in the end, and what would take it back."""

from collections import defaultdict
from collections.abc import Mapping
from typing import Any, NamedTuple
from uuid import UUID

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.problems import Conflict
from webapp.records import Batch, Change, Record, Round
from webapp.records.history import plain_of
from webapp.yard.naming import named, sentence

UNDONE = "undone"
_STRIKE = ("struck_at", "struck_by", "struck_why")


class Effect(NamedTuple):
    """The columns of a row before and after, as the history keeps values."""

    before: Mapping[str, Any]
    after: Mapping[str, Any]


Effects = dict[UUID, Effect]


def effects_of(session: Session, undone: Batch, batch: Batch) -> dict[type[Record], Effects]:
    """Bring what a batch did, kind by kind; a row it wrote counts as one that was struck before.

    Rounds that came by the way are left out; see `settle_rounds`. Raises Conflict where a row it
    wrote was changed by a later batch.
    """
    was_struck = {"struck_at": plain_of(batch.at), "struck_by": batch.person, "struck_why": UNDONE}
    wrote = Effect(was_struck, dict.fromkeys(_STRIKE))
    changed = _changed(session, undone)
    effects = {}
    for kind in Record.__subclasses__():
        written = []
        if kind is not Round:
            _refuse_changed_since(session, kind, undone)
            wanted = select(kind.uid).where(kind.live(), kind.batch_id == undone.id)
            written = list(session.scalars(wanted))
        effects[kind] = changed[kind.__tablename__] | dict.fromkeys(written, wrote)
    return effects


def changed_since(session: Session, record: Record) -> Conflict:
    """Say that a record is no longer as a batch left it."""
    newest = session.scalars(
        select(Change).where(Change.row_uid == record.uid).order_by(Change.id.desc()).limit(1)
    ).one()
    by = f" by {newest.batch.person}" if newest.batch.person else ""
    what = "changed" if record.is_live else "struck out"
    day = newest.batch.at.date()
    return Conflict(f"{sentence(named(record))} was {what} later, on {day}{by}: undo that first.")


def _changed(session: Session, undone: Batch) -> defaultdict[str, Effects]:
    """Bring what the batch changed in rows that were there before, by table."""
    found: defaultdict[str, Effects] = defaultdict(dict)
    # Equal effects are one object: an import taken back has as many as it had readings.
    known: dict[str, Effect] = {}
    wanted = select(Change.table_name, Change.row_uid, Change.before, Change.after)
    changes = session.execute(wanted.where(Change.batch_id == undone.id).order_by(Change.id))
    for table_name, uid, before, after in changes:
        if table_name == Round.__tablename__ and UNDONE in (
            before.get("struck_why"),
            after.get("struck_why"),
        ):
            continue
        earlier = found[table_name].get(uid, Effect({}, {}))
        effect = Effect({**before, **earlier.before}, {**earlier.after, **after})
        found[table_name][uid] = known.setdefault(repr(effect), effect)
    return found


def _refuse_changed_since(session: Session, kind: type[Record], undone: Batch) -> None:
    """Refuse if a batch that stands changed a row that the batch to be undone wrote."""
    changed = (
        select(Change.row_uid)
        .join(Change.batch)
        .where(Change.table_name == kind.__tablename__, Change.batch_id != undone.id)
        .where(Batch.undone_at.is_(None), Batch.undoes_uid.is_(None))
    )
    wanted = select(kind).where(kind.batch_id == undone.id, kind.uid.in_(changed))
    record = session.scalars(wanted.order_by(kind.id).limit(1)).one_or_none()
    if record is not None:
        raise changed_since(session, record)
