"""Undo everything one batch did; undoing an undo brings it back."""

from sqlalchemy.orm import Session

from webapp.problems import Conflict
from webapp.records.batch import Batch, batch_known_as
from webapp.yard.check_stays import check_stays
from webapp.yard.effects import effects_of
from webapp.yard.hanging import refuse_hanging, refuse_orphans
from webapp.yard.set_back import set_back
from webapp.yard.settle_rounds import settle_rounds


def undo_batch(session: Session, batch: Batch, undone: Batch) -> None:
    """Take back all that a batch wrote and changed; raises Conflict if later records need it.

    Nothing is written then. The undoing is a batch itself, and can be undone.
    """
    if undone is batch:
        raise ValueError("a batch cannot undo itself")
    if undone.undone_at is not None:
        raise Conflict(f"This was undone already, on {undone.undone_at.date()}.")
    session.flush()
    with session.begin_nested():
        for kind, effects in effects_of(session, undone, batch).items():
            set_back(session, batch, kind, effects)
        session.expire_all()
        first_written = _mark(session, batch, undone)
        settle_rounds(session, batch, first_written)
        refuse_hanging(session, batch, "Undo that or strike {them} out first.")
        refuse_orphans(session, batch)
        check_stays(session, batch)


def _mark(session: Session, batch: Batch, undone: Batch) -> Batch:
    """Note what is undone now and what stands again; give the batch that began it all."""
    batch.undoes_uid = undone.uid
    touched, stands = undone, False
    touched.undone_at = batch.at
    while touched.undoes_uid is not None:
        touched, stands = _undone_by(session, touched), not stands
        touched.undone_at = None if stands else batch.at
    session.flush()
    return touched


def _undone_by(session: Session, undoing: Batch) -> Batch:
    found = batch_known_as(session, undoing.undoes_uid) if undoing.undoes_uid else None
    if found is None:
        raise LookupError(f"batch {undoing.uid} undoes one that is not there")
    return found
