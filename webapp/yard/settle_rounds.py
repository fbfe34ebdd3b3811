"""Rounds that came by the way with a reading go with the last one, and come back with the first."""

from sqlalchemy import exists, or_, select
from sqlalchemy.orm import Session

from webapp.problems import Conflict
from webapp.records import Batch, Reading, Round
from webapp.records.batch import changed_in
from webapp.records.round import round_marked
from webapp.yard.effects import UNDONE
from webapp.yard.naming import named, sentence


def settle_rounds(session: Session, batch: Batch, undone: Batch) -> None:
    """Strike the rounds of undone batches in which nothing was read, bring others back."""
    of_readings = select(Reading.round_id).where(
        Reading.uid.in_(changed_in(batch, Reading.__tablename__))
    )
    wanted = select(Round).where(or_(Round.id.in_(of_readings), Round.batch_id == undone.id))
    for visit in session.scalars(wanted.order_by(Round.id)):
        needed = visit.batch.undone_at is None or _was_read_in(session, visit)
        if needed and visit.struck_why == UNDONE:
            _bring_back(session, visit)
        elif not needed and visit.is_live:
            visit.strike(batch.at, batch.person, UNDONE)
    session.flush()


def _was_read_in(session: Session, visit: Round) -> bool:
    wanted = exists().where(Reading.live(), Reading.round_id == visit.id)
    return bool(session.scalar(select(wanted)))


def _bring_back(session: Session, visit: Round) -> None:
    if round_marked(session, visit.mark) is not None:
        raise Conflict(f"{sentence(named(visit))} is in the yard again by now.")
    visit.struck_at = visit.struck_by = visit.struck_why = None
    session.flush()
