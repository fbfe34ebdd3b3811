"""The year's air at 185 weather stations of the world, as printed and as wood feels it."""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from webapp.wood.sorption import equilibrium_moisture_pct
from webapp.wood.tables import rows_of
from webapp.wood.units import celsius_from_fahrenheit
from webapp.wood.words import words_of

if TYPE_CHECKING:
    from webapp.wood.arrays import FloatArray

_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


@dataclass(frozen=True)
class Normals:
    """Twelve monthly means as printed, with years, source and note; ``seen`` as in the file."""

    unit: str
    months: tuple[float, ...]
    period: str
    seen: str
    source: str
    note: str


@dataclass(frozen=True)
class Station:
    """One weather station: ``region`` as the table has it, ``region_name`` written out."""

    place: str
    region: str
    region_name: str
    country: str
    also_called: tuple[str, ...]
    temperature: Normals
    humidity: Normals

    @property
    def key(self) -> str:
        """Name of the station in an address: letters, digits and hyphens."""
        return "-".join(words_of(f"{self.place} {self.region} {self.country}"))

    @property
    def label(self) -> str:
        """Name, region and country as people write them."""
        return ", ".join(part for part in (self.place, self.region_name, self.country) if part)

    @property
    def temperature_c(self) -> FloatArray:
        """Mean temperature of the twelve months, January first, degC."""
        months = np.array(self.temperature.months)
        return celsius_from_fahrenheit(months) if self.temperature.unit == "degF" else months

    @property
    def rh_pct(self) -> FloatArray:
        """Mean relative humidity of the twelve months, January first, percent over water."""
        return np.array(self.humidity.months)

    @property
    def emc_pct(self) -> FloatArray:
        """Moisture wood would settle at in each month's mean air, percent."""
        return equilibrium_moisture_pct(self.temperature_c, self.rh_pct)


@functools.cache
def all_stations() -> tuple[Station, ...]:
    """Give every station, by country, region and place.

    Left out of the published collection were 35 places for which only single months, or only the
    morning's and afternoon's humidity, or only one of temperature and humidity is at hand: most
    of them are large cities of the USA, and many have a full year under "(airport)".

    Returns
    -------
    tuple of Station
        Temperature in degC (one place is printed in degF and turned), humidity in percent.

    Notes
    -----
    Most are "typical years" put together from single months of real years: a month can differ
    from the thirty-year mean by 2 degC or 10 % RH. The humidity of others is worked out from mean
    vapour pressure; each station's note says which. The one place whose outdoor equilibrium is at
    hand in print, Phoenix, comes out 0.2 % MC higher on average, and 1.1 in one month (November).

    References
    ----------
    .. [1] climate.csv beside this module, each row with period, source and note: US DOE
       typical-year weather files (TMY2, TMY3, IWEC and others), DWD's archive of CLIMAT reports,
       NOAA climate normals. climate_names.csv: other names, from common knowledge.
    """
    pairs: dict[tuple[str, str, str], dict[str, dict[str, str]]] = {}
    for row in rows_of("climate.csv"):
        key = row["country"], row["region"], row["place"]
        pairs.setdefault(key, {})[row["quantity"]] = row
    names = other_names()
    return tuple(
        Station(
            place=place,
            region=region,
            region_name=next(iter(names.get((country, region, ""), ())), region) if region else "",
            country=country,
            also_called=names.get((country, region, place), ()),
            temperature=_normals(rows["temp_mean"]),
            humidity=_normals(rows["rh_mean"]),
        )
        for (country, region, place), rows in pairs.items()
    )


def station_of(key: str) -> Station | None:
    """Bring the station of a key, such as ``portland-me-usa``.

    Parameters
    ----------
    key : str
        As `Station.key` gives it.

    Returns
    -------
    Station or None
        None where no station has it. Units (degC, percent) and sources as said at `all_stations`.
    """
    return next((station for station in all_stations() if station.key == key), None)


def countries() -> tuple[str, ...]:
    """Give the countries that have a station, in the order of the alphabet.

    Returns
    -------
    tuple of str
        Names as the source table has them; no units.
    """
    return tuple(sorted({station.country for station in all_stations()}))


@functools.cache
def other_names() -> dict[tuple[str, str, str], tuple[str, ...]]:
    """Give other names by country, region and place.

    Returns
    -------
    dict
        Keys are country, region and place as in climate.csv. Empty region and place: other names
        of the country; empty place: the region written out. No units.

    References
    ----------
    .. [1] climate_names.csv beside this module, from common knowledge.
    """
    names: dict[tuple[str, str, str], tuple[str, ...]] = {}
    for row in rows_of("climate_names.csv"):
        key = row["country"], row["region"], row["place"]
        names[key] = (*names.get(key, ()), row["name"])
    return names


def _normals(row: dict[str, str]) -> Normals:
    return Normals(
        unit=row["unit"],
        months=tuple(float(row[month]) for month in _MONTHS),
        period=row["period"],
        seen=row["seen"],
        source=row["source"],
        note=row["note"],
    )
