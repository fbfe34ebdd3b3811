"""Set up a meter."""

from dataclasses import asdict

from sqlalchemy.orm import Session

from webapp.entry.entries import MeterEntry
from webapp.problems import Refused
from webapp.records.batch import Batch
from webapp.records.meter import Meter, meter_named
from webapp.yard.checks import free_mark, fresh_uid


def set_up_meter(session: Session, batch: Batch, entry: MeterEntry) -> Meter:
    """Write down a new meter; raises Conflict if its name is used."""
    over, under = entry.over_range_pct, entry.under_range_pct
    if over is not None and under is not None and under >= over:
        raise Refused("The under-range limit of a meter lies below its over-range limit.")
    facts = asdict(entry)
    name = free_mark(meter_named(session, facts.pop("meter")), "meter", entry.meter)
    meter = Meter(batch=batch, name=name, **facts | {"uid": fresh_uid(session, Meter, entry.uid)})
    session.add(meter)
    session.flush()
    return meter
