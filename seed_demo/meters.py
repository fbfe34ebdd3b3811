"""The two meters of the invented yard, and what they show of a board."""

from dataclasses import dataclass

import numpy as np

from webapp.wood.meter_correction import correct

NEW_PINS, OLD_PINS = "New pins", "Old pins"
_DISPLAYS = np.arange(3.0, 60.0, 0.1)


@dataclass(frozen=True)
class InventedMeter:
    """A pin meter; ``bias_pct`` is what it shows too much."""

    name: str
    scale: str
    temperature: str
    under_range_pct: float
    over_range_pct: float
    needle_mm: float
    insulated: str
    bias_pct: float


METERS = (
    InventedMeter(NEW_PINS, "as_shown", "compensated", 6, 30, 12, "yes", 0.3),
    InventedMeter(OLD_PINS, "douglas_fir", "not_compensated", 7, 25, 10, "no", -0.3),
)


def meter_called(name: str) -> InventedMeter:
    """Bring one of the two."""
    return next(meter for meter in METERS if meter.name == name)


def shown(meter: InventedMeter, moisture_pct: float, wood_c: float, species: str) -> str:
    """Give the text on the display: the number, or on which side it lies beyond the range."""
    value = _uncorrected(meter, moisture_pct, wood_c, species) + meter.bias_pct
    if value > meter.over_range_pct:
        return f">{meter.over_range_pct:g}"
    if value < meter.under_range_pct:
        return f"<{meter.under_range_pct:g}"
    return f"{value:.1f}"


def _uncorrected(meter: InventedMeter, moisture_pct: float, wood_c: float, species: str) -> float:
    """Give the reading that correction would turn into this moisture."""
    if (meter.scale, meter.temperature) == ("as_shown", "compensated"):
        return moisture_pct
    corrected = correct(
        _DISPLAYS,
        scale=meter.scale,
        temperature_kind=meter.temperature,
        wood_temperature_c=wood_c,
        species=species,
    ).moisture_pct
    return float(_DISPLAYS[np.argmin(np.abs(corrected - moisture_pct))])
