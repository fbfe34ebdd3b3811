"""Strike a reading out: it stays to be seen, and counts no more."""

from sqlalchemy.orm import Session

from webapp.problems import Conflict
from webapp.records.batch import Batch
from webapp.records.reading import Reading
from webapp.yard.checks import short_text


def strike_reading(session: Session, batch: Batch, reading: Reading, why: str) -> Reading:
    """Strike a reading; raises Conflict if it is struck already, Refused without a reason."""
    if not reading.is_live:
        raise Conflict(f"The reading {reading.shown} of {reading.read_on} is already struck out.")
    reading.strike(batch.at, batch.person, short_text(why))
    reading.struck_on = batch.at.date()
    session.flush()
    return reading
