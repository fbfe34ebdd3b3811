"""A field for a temperature in the person's scale; the other scale may stand with the number."""

from typing import Any

from webapp.entry.fields import number_text
from webapp.entry.form import UnitField
from webapp.entry.temperatures import Scale, bare_scale, temperature_c
from webapp.look import Units
from webapp.wood.units import fahrenheit_from_celsius

# As fine as weather services print means.
_DIGITS = 1


class TemperatureField(UnitField):
    """A temperature, degrees Celsius inside; `bare` is the scale of a number without a sign."""

    bare = Scale.C

    def __init__(self, label: str, limits_c: tuple[float, float], **options: Any) -> None:
        super().__init__(label, self._read_c, write=self._written, **options)
        self.limits_c = limits_c

    def use(self, units: Units) -> None:
        """Read and write in this person's scale from now on."""
        super().use(units)
        self.bare = bare_scale(units)

    def _read_c(self, text: str) -> object:
        # What was not touched stays exactly what it was, however it was rounded to be shown.
        if self.object_data is not None and text == self._written(self.object_data):
            return self.object_data
        return temperature_c(text, *self.limits_c, self.bare)

    def _written(self, value_c: float | None) -> str:
        if value_c is None:
            return ""
        value = float(fahrenheit_from_celsius(value_c)) if self.bare is Scale.F else value_c
        return number_text(round(value, _DIGITS) + 0.0)
