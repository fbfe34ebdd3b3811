"""Changing a place: what changes is noted, what does not is left alone."""

from dataclasses import replace

import pytest
from sqlalchemy.orm import Session

from tests import make
from webapp.entry.entries import PlaceEntry
from webapp.problems import Conflict, Refused
from webapp.records.batch import batch_of, changes_of
from webapp.records.place import months_of
from webapp.yard.change_place import change_place

ENTRY = PlaceEntry(
    place="Barn",
    kind="unheated",
    temperature_c=tuple(map(float, make.TEMPERATURES_C)),
    rh_pct=tuple(map(float, make.HUMIDITIES_PCT)),
    air_of="station",
)


def test_facts_are_written_and_noted(session: Session) -> None:
    place = make.make_place(session, name="Shed")
    warmer = replace(ENTRY, temperature_c=(3.0, *ENTRY.temperature_c[1:]))
    change_place(session, batch_of(session), place, warmer)
    assert (place.name, place.kind, place.air_of) == ("Barn", "unheated", "station")
    january, february, *_rest = months_of(session, place)
    assert january.temperature_c == 3
    assert len(changes_of(session, january)) == 1
    assert changes_of(session, february) == []


def test_a_place_keeps_its_own_name(session: Session) -> None:
    place = make.make_place(session, name="Barn")
    assert change_place(session, batch_of(session), place, ENTRY).name == "Barn"


def test_another_s_name_is_refused(session: Session) -> None:
    make.make_place(session, name="Barn")
    with pytest.raises(Conflict, match="Barn"):
        change_place(session, batch_of(session), make.make_place(session), ENTRY)


def test_eleven_months_are_refused(session: Session) -> None:
    with pytest.raises(Refused, match="twelve months"):
        change_place(
            session,
            batch_of(session),
            make.make_place(session),
            replace(ENTRY, rh_pct=(70.0,) * 11),
        )


def test_a_month_that_was_struck_is_written_anew(session: Session) -> None:
    place = make.make_place(session)
    batch = batch_of(session)
    months_of(session, place)[0].strike(batch.at, None, "wrong")
    session.flush()
    change_place(session, batch, place, ENTRY)
    assert [month.month for month in months_of(session, place)] == list(range(1, 13))
