"""Set up a place with the air of its twelve months."""

from sqlalchemy.orm import Session

from webapp.entry.entries import PlaceEntry
from webapp.problems import Refused
from webapp.records.batch import Batch
from webapp.records.place import Place, PlaceMonth, place_named
from webapp.yard.checks import free_mark, fresh_uid

_MONTHS = 12


def set_up_place(session: Session, batch: Batch, entry: PlaceEntry) -> Place:
    """Write down a new place; raises Conflict for a used name, Refused without twelve months."""
    if {len(entry.temperature_c), len(entry.rh_pct)} != {_MONTHS}:
        raise Refused(f"“{entry.place}” needs the temperature and humidity of twelve months.")
    months = zip(entry.temperature_c, entry.rh_pct, strict=True)
    place = Place(
        uid=fresh_uid(session, Place, entry.uid),
        batch=batch,
        name=free_mark(place_named(session, entry.place), "place", entry.place),
        kind=entry.kind,
        air_of=entry.air_of,
        months=[
            PlaceMonth(batch=batch, month=month, temperature_c=temperature_c, rh_pct=rh_pct)
            for month, (temperature_c, rh_pct) in enumerate(months, start=1)
        ],
    )
    session.add(place)
    session.flush()
    return place
