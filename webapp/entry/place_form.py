"""The form of a place: its name, how open it is, and the air of its twelve months."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from wtforms import BooleanField

from webapp.entry import kinds
from webapp.entry.entries import PlaceEntry
from webapp.entry.folder import RH_COLUMNS, TEMPERATURE_COLUMNS
from webapp.entry.form import NEEDED, ChoiceField, ParsedField, YardForm
from webapp.entry.temperature_field import TemperatureField

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

KIND_WORDS = (
    ("open_shed", "open shed"),
    ("outdoors", "outdoors, under a sheet"),
    ("unheated", "unheated building"),
    ("heated", "heated room"),
    ("chamber", "drying chamber"),
)
AIR_OF_WORDS = (
    ("station", "outdoors, by a weather station near it"),
    ("place", "in the place itself"),
)
HOTTEST_MONTH_C = 42.0
"""Above the hottest monthly mean of any weather station, degC (near 40, by common knowledge)."""
_MOST_NAMED = 3


class PlaceForm(YardForm):
    """A place as typed; the months' fields bear the names of the columns of places.csv."""

    place = ParsedField("Name", kinds.MARK.read, needed=True)
    kind = ChoiceField("Kind of place", kinds.PLACE_KIND.read, KIND_WORDS, needed=True)
    air_of = ChoiceField("The air was measured", kinds.AIR_SOURCE.read, AIR_OF_WORDS, needed=True)
    station = ParsedField("Weather station", kinds.LINE.read)
    sure = BooleanField("It is right; save it as typed")

    def validate(self, extra_validators: Mapping[str, Sequence[Any]] | None = None) -> bool:
        """Check every field, and that the months are whole."""
        good = super().validate(extra_validators)
        return self._months_are_whole() and good

    def temperature_c(self) -> NDArray[np.float64]:
        """Give the temperatures as far as they can be read, NaN for the others."""
        return self._known(TEMPERATURE_COLUMNS)

    def rh_pct(self) -> NDArray[np.float64]:
        """Give the humidities as far as they can be read, NaN for the others."""
        return self._known(RH_COLUMNS)

    def months_wrong(self) -> bool:
        """Tell whether anything in the months has to be looked at."""
        return any(self[name].errors for name in (*TEMPERATURE_COLUMNS, *RH_COLUMNS, "air_of"))

    def question(self) -> str | None:
        """Ask about air that no such place has, unless the person already said it is right."""
        if self.sure.data:
            return None
        if self.kind.data == "chamber":
            if self.air_of.data == "station":
                return (
                    "A drying chamber makes its own air, but these months are of outdoors. "
                    "Type the air in the chamber instead, such as 45 °C and 35 %."
                )
            return None
        if self.temperature_c().max() > HOTTEST_MONTH_C:
            return (
                f"No place outdoors has a month hotter than {HOTTEST_MONTH_C:g} °C on average. "
                "If these are degrees Fahrenheit, write F behind them, as 50 F."
            )
        return None

    def entry(self) -> PlaceEntry:
        """Give the checked place; only after `validate` found no error."""
        return PlaceEntry(
            place=self.place.data,
            kind=self.kind.data,
            temperature_c=tuple(self[name].data for name in TEMPERATURE_COLUMNS),
            rh_pct=tuple(self[name].data for name in RH_COLUMNS),
            air_of=self.air_of.data,
            uid=self.uid.data,
        )

    def _known(self, names: tuple[str, ...]) -> NDArray[np.float64]:
        values = [self[name].data for name in names]
        return np.array([np.nan if value is None else value for value in values], dtype=float)

    def _months_are_whole(self) -> bool:
        months = [self[name] for name in (*TEMPERATURE_COLUMNS, *RH_COLUMNS)]
        empty = [field for field in months if field.data is None and not field.errors]
        if empty and len(empty) <= _MOST_NAMED:
            for field in empty:
                field.errors = [NEEDED]
        elif empty:
            empty[0].errors = [f"This is needed; so are {len(empty) - 1} others, empty as well."]
        humidities = [self[name].data for name in RH_COLUMNS]
        if all(humidity is not None and humidity <= 1 for humidity in humidities):
            first = self[RH_COLUMNS[0]]
            first.errors = ["Humidity is asked in percent: 85, not 0.85."]
            return False
        return not empty


def _add_months() -> None:
    for month, (temperature, humidity) in enumerate(
        zip(TEMPERATURE_COLUMNS, RH_COLUMNS, strict=True)
    ):
        word = _MONTH_WORDS[month]
        setattr(
            PlaceForm,
            temperature,
            TemperatureField(f"{word}, temperature", kinds.MONTH_TEMPERATURE_LIMITS_C),
        )
        setattr(PlaceForm, humidity, ParsedField(f"{word}, humidity", kinds.RH_PCT.read))


_MONTH_WORDS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
_add_months()
