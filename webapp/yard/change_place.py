"""Change what is known of a place; its stacks are judged anew in the air it has now."""

from sqlalchemy.orm import Session

from webapp.entry.entries import PlaceEntry
from webapp.problems import Refused
from webapp.records.batch import Batch
from webapp.records.place import Place, PlaceMonth, months_of, place_named
from webapp.yard.checks import free_mark

_MONTHS = 12


def change_place(session: Session, batch: Batch, place: Place, entry: PlaceEntry) -> Place:
    """Write the new facts down; raises Conflict for another's name, Refused without its months."""
    if {len(entry.temperature_c), len(entry.rh_pct)} != {_MONTHS}:
        raise Refused(f"“{entry.place}” needs the temperature and humidity of twelve months.")
    namesake = place_named(session, entry.place)
    place.name = free_mark(namesake if namesake is not place else None, "place", entry.place)
    place.kind, place.air_of = entry.kind, entry.air_of
    there = {month.month: month for month in months_of(session, place)}
    for number in range(1, _MONTHS + 1):
        temperature_c, rh_pct = entry.temperature_c[number - 1], entry.rh_pct[number - 1]
        month = there.get(number)
        if month is None:
            month = PlaceMonth(batch=batch, place=place, month=number)
            session.add(month)
        month.temperature_c, month.rh_pct = temperature_c, rh_pct
    session.flush()
    return place
