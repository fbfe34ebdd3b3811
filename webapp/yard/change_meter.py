"""Change what is known of a meter; what it showed stays, and is corrected anew."""

from sqlalchemy.orm import Session

from webapp.entry.entries import MeterEntry
from webapp.problems import Refused
from webapp.records.batch import Batch
from webapp.records.meter import Meter, meter_named
from webapp.yard.checks import free_mark


def change_meter(session: Session, _batch: Batch, meter: Meter, entry: MeterEntry) -> Meter:
    """Write the new facts down; raises Conflict if another meter has the name."""
    over, under = entry.over_range_pct, entry.under_range_pct
    if over is not None and under is not None and under >= over:
        raise Refused("The under-range limit of a meter lies below its over-range limit.")
    namesake = meter_named(session, entry.meter)
    meter.name = free_mark(namesake if namesake is not meter else None, "meter", entry.meter)
    for fact in ("kind", "scale", "temperature", "over_range_pct", "under_range_pct"):
        setattr(meter, fact, getattr(entry, fact))
    meter.needle_mm, meter.insulated = entry.needle_mm, entry.insulated
    session.flush()
    return meter
