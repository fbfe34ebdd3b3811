"""A meter changed: how it is set."""

from dataclasses import replace

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from tests.yard.undoing import done, sitting, undo
from webapp.entry.entries import MeterEntry
from webapp.problems import Conflict, Refused
from webapp.records import Change, Meter
from webapp.records.batch import changes_of
from webapp.yard.change_meter import change_meter
from webapp.yard.set_up_meter import set_up_meter

PINS = MeterEntry("yellow pins", over_range_pct=40.0, under_range_pct=6.0)


@pytest.fixture
def meter(session: Session) -> Meter:
    return set_up_meter(session, sitting(session), PINS)


def test_how_it_is_set(session: Session, meter: Meter) -> None:
    changed = MeterEntry(
        "red pins", "pinless", "douglas_fir", "not_compensated", 30.0, 5.0, 10.0, insulated=True
    )
    batch = done(session, change_meter, meter, changed)
    facts = (meter.name, meter.kind, meter.scale, meter.temperature)
    assert facts == ("red pins", "pinless", "douglas_fir", "not_compensated")
    assert (meter.over_range_pct, meter.under_range_pct) == (30.0, 5.0)
    assert (meter.needle_mm, meter.insulated) == (10.0, True)
    (change,) = changes_of(session, meter)
    assert change.batch is batch
    undo(session, batch)
    assert (meter.name, meter.over_range_pct, meter.insulated) == ("yellow pins", 40.0, None)


def test_saved_as_it_was_it_leaves_no_change(session: Session, meter: Meter) -> None:
    done(session, change_meter, meter, PINS)
    assert session.scalars(select(Change)).all() == []


def test_what_cannot_be(session: Session, meter: Meter) -> None:
    done(session, set_up_meter, MeterEntry("m2"))
    with pytest.raises(Conflict, match="already a meter “m2”"):
        done(session, change_meter, meter, replace(PINS, meter="m2"))
    with pytest.raises(Refused, match="lies below its over-range"):
        done(session, change_meter, meter, replace(PINS, under_range_pct=40.0))
