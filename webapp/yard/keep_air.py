"""Keep the air that was measured at a place."""

from sqlalchemy.orm import Session

from webapp.entry.entries import AirEntry
from webapp.records.batch import Batch
from webapp.records.place import Air, place_named
from webapp.yard.checks import day_that_came, known, uid_or_new


def keep_air(session: Session, batch: Batch, entry: AirEntry) -> Air:
    """Write down one measurement; raises NotFound for an unknown place, Refused for the future."""
    day_that_came(batch, entry.at.date(), "A measurement")
    air = Air(
        uid=uid_or_new(entry.uid),
        batch=batch,
        place=known(place_named(session, entry.place), "place", entry.place),
        at=entry.at,
        temperature_c=entry.temperature_c,
        rh_pct=entry.rh_pct,
    )
    session.add(air)
    session.flush()
    return air
