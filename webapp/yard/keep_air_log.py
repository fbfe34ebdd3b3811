"""Keep a log of the air at a place; what is there already is not kept again."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.entry.air_text import MeasuredAir
from webapp.records.batch import Batch
from webapp.records.place import Air, Place
from webapp.yard.checks import day_that_came


@dataclass(frozen=True)
class KeptLog:
    """How many records came in, and how many were there already."""

    kept: int
    already: int


def keep_air_log(
    session: Session, batch: Batch, place: Place, measured: Sequence[MeasuredAir]
) -> KeptLog:
    """Write measurements down once each; raises Refused for one of the future."""
    wanted = select(Air.at, Air.temperature_c, Air.rh_pct)
    rows = session.execute(wanted.where(Air.live(), Air.place_id == place.id))
    there = {(row.at, row.temperature_c, row.rh_pct) for row in rows}
    kept = 0
    for one in measured:
        day_that_came(batch, one.at.date(), "A measurement")
        found = (one.at, one.temperature_c, one.rh_pct)
        if found in there:
            continue
        there.add(found)
        at, temperature_c, rh_pct = found
        session.add(
            Air(batch=batch, place=place, at=at, temperature_c=temperature_c, rh_pct=rh_pct)
        )
        kept += 1
    session.flush()
    return KeptLog(kept, len(measured) - kept)
