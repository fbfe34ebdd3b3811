"""The form of a place: twelve months, in either scale, whole or told what is missing."""

from __future__ import annotations

import numpy as np
import pytest
from werkzeug.datastructures import MultiDict

from webapp.entry.folder import RH_COLUMNS, TEMPERATURE_COLUMNS
from webapp.entry.place_form import PlaceForm
from webapp.entry.temperature_field import TemperatureField
from webapp.look import Units

GOOD = {"place": "Shed", "kind": "open_shed", "air_of": "station"} | {
    **{name: str(month) for month, name in enumerate(TEMPERATURE_COLUMNS, start=1)},
    **dict.fromkeys(RH_COLUMNS, "70"),
}


NAMES = ["Bill's “shed”", "<b>shed</b>", "🌲🌲", "سقيفة", "שֶׁלִּי", "a\u202eb"]


def typed(**other: str) -> PlaceForm:
    return PlaceForm(MultiDict(GOOD | other))


def in_inches(**other: str) -> PlaceForm:
    return PlaceForm(MultiDict(GOOD | other), units=Units.INCH)


def shown(temperature_c: float, units: Units) -> str:
    field = PlaceForm(data={"temp_07": temperature_c}, units=units)["temp_07"]
    assert isinstance(field, TemperatureField)
    return field._value()


def test_a_whole_year_is_taken() -> None:
    form = typed(temp_02="\u22123,5", rh_02="71,5 %")
    assert form.validate(), form.errors
    entry = form.entry()
    assert (entry.place, entry.kind, entry.air_of) == ("Shed", "open_shed", "station")
    assert entry.temperature_c == (1, -3.5, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12)
    assert entry.rh_pct[:3] == (70, 71.5, 70)


@pytest.mark.parametrize("text", ["50 F", "50°F", "50 °f", "50 Fahrenheit", "10", "10 C", "10,0"])
def test_either_scale_may_be_typed(text: str) -> None:
    form = typed(temp_07=text)
    assert form.validate()
    assert form.entry().temperature_c[6] == 10


def test_somebody_who_likes_inches_types_fahrenheit() -> None:
    form = in_inches(temp_07="50", temp_08="10 C")
    assert form.validate()
    assert form.entry().temperature_c[6:8] == (10, 10)
    assert shown(10.0, Units.INCH) == "50"


@pytest.mark.parametrize("units", Units)
def test_a_temperature_that_was_not_touched_stays_what_it_was(units: Units) -> None:
    for kept in (4.6, 5.2777777777777777, -17.8, 0.0, 100 / 3):
        again = MultiDict(GOOD | {"temp_07": shown(kept, units)})
        form = PlaceForm(again, data={"temp_07": kept}, units=units)
        assert form.validate()
        assert form.entry().temperature_c[6] == kept


@pytest.mark.parametrize(
    ("field", "text", "said"),
    [
        ("temp_03", "ten", "degrees Celsius from -70 to 60"),
        ("temp_03", "70", "was 70 °F meant?"),
        ("rh_03", "120", "from 0 to 100; found “120”"),
        ("rh_03", "damp", "percent"),
        ("kind", "attic", "one of open_shed"),
        ("place", "x" * 10_000, "1 to 60 signs"),
        ("place", "  ", "needed"),
    ],
)
def test_what_cannot_be_taken(field: str, text: str, said: str) -> None:
    form = typed(**{field: text})
    assert not form.validate()
    assert list(form.errors) == [field]
    assert said in form[field].errors[0]


@pytest.mark.parametrize(
    "name", ["Bill's “shed”", "<b>shed</b>", "🌲🌲", "سقيفة", "שֶׁלִּי", "a\u202eb"]
)
def test_names_people_give(name: str) -> None:
    form = typed(place=name)
    assert form.validate(), form.errors
    assert form.entry().place


def test_a_month_that_is_missing_is_named() -> None:
    form = typed(temp_11="", rh_12="")
    assert not form.validate()
    assert form.errors == {"temp_11": ["This is needed."], "rh_12": ["This is needed."]}


def test_many_missing_months_are_told_in_one_line() -> None:
    form = PlaceForm(MultiDict({"place": "Shed", "kind": "outdoors", "air_of": "place"}))
    assert not form.validate()
    assert form.errors == {"temp_01": ["This is needed; so are 23 others, empty as well."]}


def test_humidity_is_no_fraction() -> None:
    form = typed(**dict.fromkeys(RH_COLUMNS, "0.85"))
    assert not form.validate()
    assert form.errors == {"rh_01": ["Humidity is asked in percent: 85, not 0.85."]}


def test_what_can_be_read_is_drawn() -> None:
    form = PlaceForm(MultiDict({"temp_01": "5", "temp_02": "wet", "rh_12": "80"}))
    assert form.temperature_c()[0] == 5
    assert np.isnan(form.temperature_c()[1:]).all()
    assert form.rh_pct()[11] == 80


def test_degrees_of_the_wrong_scale_are_asked_about() -> None:
    form = typed(temp_07="55")
    assert form.validate()
    assert "write F behind them" in str(form.question())
    assert typed(temp_07="55", sure="y").question() is None
    assert typed(temp_07="40").question() is None


def test_a_chamber_with_the_weather_of_outdoors_is_asked_about() -> None:
    form = typed(kind="chamber")
    assert form.validate()
    assert "makes its own air" in str(form.question())
    assert typed(kind="chamber", sure="y").question() is None
    assert typed(kind="chamber", air_of="place", temp_07="60").question() is None
