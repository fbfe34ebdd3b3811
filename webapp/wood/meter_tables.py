"""The two printed tables behind the corrections of resistance meters, read once."""

from __future__ import annotations

import csv
import functools
from dataclasses import dataclass
from importlib import resources

import numpy as np

from webapp.wood.arrays import FloatArray


@dataclass(frozen=True)
class TemperatureChart:
    """James' chart as a grid: moisture by reading (rows, %) and wood temperature (columns, degC).

    ``sure`` is 1 where the chart reaches and 0 where the cell lies beyond it (above 28 %).
    """

    readings_pct: FloatArray
    temperatures_c: FloatArray
    moisture_pct: FloatArray
    sure: FloatArray


@dataclass(frozen=True)
class SpeciesRow:
    """Moisture against the reading of a Douglas-fir meter for the species it covers, both in %."""

    name: str
    covers: tuple[str, ...]
    readings_pct: FloatArray
    moisture_pct: FloatArray
    confidence: str
    remembered: bool


@functools.cache
def temperature_chart() -> TemperatureChart:
    """Give the temperature chart of resistance meters.

    Returns
    -------
    TemperatureChart
        Moisture in percent by reading in percent and temperature in degC. The two cells the file
        leaves out are put in from their neighbours along the reading.

    References
    ----------
    .. [1] James 1988, Electric moisture meters for wood, FPL-GTR-6, Figure 5 (digitized,
       second-hand): meter_temperature.csv beside this module.
    """
    rows = _rows("meter_temperature.csv")
    readings = np.unique([float(row["reading_pct"]) for row in rows])
    temperatures = np.unique([float(row["temperature_c"]) for row in rows])
    moisture = np.full((readings.size, temperatures.size), np.nan)
    sure = np.ones(moisture.shape)
    for row in rows:
        at = (
            np.searchsorted(readings, float(row["reading_pct"])),
            np.searchsorted(temperatures, float(row["temperature_c"])),
        )
        moisture[at] = float(row["corrected_pct"])
        sure[at] = float(row["confidence"] == "high")
    for column in moisture.T:
        known = ~np.isnan(column)
        column[~known] = np.interp(readings[~known], readings[known], column[known])
    return TemperatureChart(readings, temperatures, moisture, sure)


@functools.cache
def species_rows() -> tuple[SpeciesRow, ...]:
    """Give the species corrections of meters with the Douglas-fir scale.

    Returns
    -------
    tuple of SpeciesRow
        Moisture and readings in percent, with the species each row covers.

    References
    ----------
    .. [1] James 1988, Electric moisture meters for wood, FPL-GTR-6, resistance table (recalled,
       so every row but Douglas-fir is marked remembered): meter_species.csv beside this module.
    """
    rows = _rows("meter_species.csv")
    names = dict.fromkeys(row["row"] for row in rows)
    return tuple(_species_row([row for row in rows if row["row"] == name]) for name in names)


def _species_row(rows: list[dict[str, str]]) -> SpeciesRow:
    return SpeciesRow(
        name=rows[0]["row"],
        covers=tuple(rows[0]["covers"].split(";")),
        readings_pct=np.array([float(row["douglas_fir_reading_pct"]) for row in rows]),
        moisture_pct=np.array([float(row["moisture_pct"]) for row in rows]),
        confidence=rows[0]["confidence"],
        remembered=rows[0]["seen"] == "memory",
    )


def _rows(file_name: str) -> list[dict[str, str]]:
    table = resources.files("webapp.wood").joinpath(file_name)
    with table.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))
