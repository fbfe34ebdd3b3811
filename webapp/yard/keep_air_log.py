"""Keep a log of the air at a place; what is there already is not kept again."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import insert
from sqlalchemy.orm import Session

from webapp.entry.air_text import MeasuredAir
from webapp.records.batch import Batch
from webapp.records.place import Air, AirThere, Place, air_log_of
from webapp.records.record import new_uid
from webapp.yard.checks import day_that_came

_AT_ONCE = 5_000


@dataclass(frozen=True)
class KeptLog:
    """How many records came in, and how many were there already."""

    kept: int
    already: int


def keep_air_log(
    session: Session, batch: Batch, place: Place, measured: Sequence[MeasuredAir]
) -> KeptLog:
    """Write measurements down once each; raises Refused for one of the future."""
    there = set(air_log_of(session, place))
    fresh: dict[AirThere, None] = {}
    for one in measured:
        day_that_came(batch, one.at.date(), "A measurement")
        found = AirThere(one.at, one.temperature_c, one.rh_pct)
        if found not in there:
            fresh[found] = None
    _write_down(session, batch, place, list(fresh))
    return KeptLog(len(fresh), len(measured) - len(fresh))


def _write_down(session: Session, batch: Batch, place: Place, fresh: Sequence[AirThere]) -> None:
    """Insert some thousand rows at once: a logger's year one by one would hold up all others."""
    session.flush()
    signed = {"batch_id": batch.id, "created_at": batch.at, "place_id": place.id}
    for start in range(0, len(fresh), _AT_ONCE):
        rows = [
            signed | {"uid": new_uid()} | one._asdict() for one in fresh[start : start + _AT_ONCE]
        ]
        session.execute(insert(Air), rows)
