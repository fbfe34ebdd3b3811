"""The weather of the invented yard: its normals, and how the last years strayed from them.

The straying is counted back from today, so that it is the same whatever day the yard is made on.
"""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from seed_demo.places import CELLAR, LOFT, OUTDOORS_C, OUTDOORS_RH_PCT, PLACES, SHED, STORE
from webapp.wood.humid_air import saturation_pressure_over_water_pa
from webapp.wood.sorption import equilibrium_moisture_pct

Array = NDArray[np.float64]

SEED = 1907
MONTH_CARRIED_ON, DAY_CARRIED_ON = 0.97, 0.7
SLOW_C, QUICK_C = 1.2, 2.5
SLOW_RH_PCT, QUICK_RH_PCT = 3.0, 6.0
LOFT_FORGETS_IN_DAYS = 8.0
LOFT_WARMER_C = 1.5
INDOOR_SHARE = 0.35
DAMPEST_RH_PCT = 97.0


@dataclass(frozen=True)
class Air:
    """The air at one place, day by day."""

    temperature_c: Array
    rh_pct: Array

    @property
    def equilibrium_pct(self) -> Array:
        """Where wood would settle in each day's air."""
        return equilibrium_moisture_pct(self.temperature_c, self.rh_pct)


def air_of_places(first: date, today: date) -> dict[str, Air]:
    """Give the air at every place from the first day to today."""
    days = (today - first).days + 1
    chance = np.random.default_rng(SEED)
    strayed_c = _straying(chance, days, SLOW_C, QUICK_C)
    strayed_rh = _straying(chance, days, SLOW_RH_PCT, QUICK_RH_PCT)
    fraction = _year_fractions(first, days)
    outdoors = Air(
        _course(OUTDOORS_C, fraction) + strayed_c,
        _held(_course(OUTDOORS_RH_PCT, fraction) + strayed_rh),
    )
    found = {SHED: outdoors, LOFT: _in_the_loft(outdoors)}
    for place in PLACES:
        if place.name in {STORE, CELLAR}:
            found[place.name] = Air(
                _course(place.temperature_c, fraction) + INDOOR_SHARE * strayed_c,
                _held(_course(place.rh_pct, fraction) + INDOOR_SHARE * strayed_rh),
            )
    return found


def _straying(chance: np.random.Generator, days: int, slow: float, quick: float) -> Array:
    """Draw from today backwards: months that stray together, and days on top."""
    total = np.zeros(days)
    for size, kept in ((slow, MONTH_CARRIED_ON), (quick, DAY_CARRIED_ON)):
        fresh = chance.standard_normal(days) * size * np.sqrt(1.0 - kept**2)
        fresh[0] = size * chance.standard_normal()
        for day in range(1, days):
            fresh[day] += kept * fresh[day - 1]
        total += fresh
    return total[::-1]


def _year_fractions(first: date, days: int) -> Array:
    dates = [first + timedelta(days=day) for day in range(days)]
    return np.array([(day.timetuple().tm_yday - 0.5) / 365.25 for day in dates])


def _course(monthly: tuple[float, ...], fraction: Array) -> Array:
    middles = (np.arange(12) + 0.5) / 12.0
    return np.asarray(np.interp(fraction, middles, np.array(monthly), period=1.0))


def _held(rh_pct: Array) -> Array:
    return np.clip(rh_pct, 15.0, DAMPEST_RH_PCT)


def _in_the_loft(outdoors: Air) -> Air:
    vapour_pa = outdoors.rh_pct / 100.0 * saturation_pressure_over_water_pa(outdoors.temperature_c)
    temperature_c = _slowly(outdoors.temperature_c) + LOFT_WARMER_C
    inside_pa = saturation_pressure_over_water_pa(temperature_c)
    return Air(temperature_c, _held(100.0 * _slowly(vapour_pa) / inside_pa))


def _slowly(values: Array) -> Array:
    share = 1.0 / LOFT_FORGETS_IN_DAYS
    felt = values.copy()
    for day in range(1, len(felt)):
        felt[day] = felt[day - 1] + share * (values[day] - felt[day - 1])
    return felt
