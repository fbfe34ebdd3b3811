"""What the temperature of the wood does to the reading of a resistance meter."""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from webapp.wood.arrays import ArrayLike, FloatArray, as_floats
from webapp.wood.tables import rows_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

PER_DEGREE = 0.13
"""Points of moisture per degC near room temperature: VTT Publications 420 (2000) gives 0.10 to
0.15, the chart of James 1988 0.13 at a reading of 12 %."""

REFERENCE_C = 21.1
"""Temperature at which the chart corrects nothing, degC (70 degF)."""

_CHART_SD = 0.15  # accuracy of the digitized chart, points
_BEYOND_CHART_SD = 2.0  # assumption: cells above 28 % lie past the end of the chart
_KNOWN_TEMPERATURE_SD_C = 2.0  # assumption: a wood temperature that was written down
_UNKNOWN_TEMPERATURE_SD_C = 8.0  # assumption: nobody wrote one down
_PER_POINT_OUTSIDE = 0.25  # assumption: growth of the doubt per point of reading off the chart


@dataclass(frozen=True)
class TemperatureChart:
    """James' chart as a grid: moisture by reading (rows, %) and wood temperature (columns, degC).

    ``sure`` is 1 where the chart reaches and 0 where the cell lies beyond it (above 28 %);
    ``source`` tells where the chart was printed.
    """

    readings_pct: FloatArray
    temperatures_c: FloatArray
    moisture_pct: FloatArray
    sure: FloatArray
    source: str


def temperature_correction(
    reading_pct: ArrayLike, wood_temperature_c: ArrayLike
) -> tuple[FloatArray, FloatArray, NDArray[np.bool_]]:
    """Give the points to add to a resistance reading for the temperature of the wood.

    Bilinear between the cells of the chart, so it rises with the reading and falls with warmth
    as the chart does.

    Parameters
    ----------
    reading_pct : array_like
        Reading in percent, chart from 6 to 25.
    wood_temperature_c : array_like
        Temperature of the wood in degC, chart from -20 to 50; NaN for not known, which adds
        nothing and widens the doubt by 8 degC's worth.

    Returns
    -------
    points, sd : ndarray
        Points to add, and the standard deviation of that correction in points.
    off_chart : ndarray of bool
        Where the reading or the temperature lies outside the chart, or the cell beyond its end.

    References
    ----------
    .. [1] James 1988, Electric moisture meters for wood, FPL-GTR-6, Figure 5, reference 70 degF.
    """
    chart = temperature_chart()
    reading, wood_c = np.broadcast_arrays(as_floats(reading_pct), as_floats(wood_temperature_c))
    told = ~np.isnan(wood_c)
    at_c = np.clip(np.where(told, wood_c, REFERENCE_C), *_ends(chart.temperatures_c))
    at_pct = np.clip(reading, *_ends(chart.readings_pct))
    points = _bilinear(chart, chart.moisture_pct, at_pct, at_c) - at_pct
    sure = _bilinear(chart, chart.sure, at_pct, at_c)
    degrees_off = np.where(told, np.abs(wood_c - at_c), 0.0)
    points_off = np.abs(reading - at_pct)
    sd_c = np.where(told, _KNOWN_TEMPERATURE_SD_C, _UNKNOWN_TEMPERATURE_SD_C)
    per_degree = PER_DEGREE * np.maximum(at_pct, 6.0) / 12.0
    sd = np.sqrt(
        _CHART_SD**2
        + (per_degree * (sd_c + degrees_off)) ** 2
        + (_PER_POINT_OUTSIDE * points_off) ** 2
        + (_BEYOND_CHART_SD * (1.0 - sure)) ** 2
    )
    off_chart = (degrees_off > 0.0) | (points_off > 0.0) | (sure < 1.0)
    return np.where(told, points, 0.0), sd, off_chart


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
    rows = rows_of("meter_temperature.csv")
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
    return TemperatureChart(readings, temperatures, moisture, sure, rows[0]["source"])


def _ends(values: FloatArray) -> tuple[float, float]:
    return float(values[0]), float(values[-1])


def _bilinear(
    chart: TemperatureChart, cells: FloatArray, at_pct: FloatArray, at_c: FloatArray
) -> FloatArray:
    row, up = _cell_of(chart.readings_pct, at_pct)
    column, across = _cell_of(chart.temperatures_c, at_c)
    low = cells[row, column] * (1.0 - across) + cells[row, column + 1] * across
    high = cells[row + 1, column] * (1.0 - across) + cells[row + 1, column + 1] * across
    return low * (1.0 - up) + high * up


def _cell_of(edges: FloatArray, at: FloatArray) -> tuple[NDArray[np.intp], FloatArray]:
    cell = np.clip(np.searchsorted(edges, at, side="right") - 1, 0, edges.size - 2)
    return cell, (at - edges[cell]) / (edges[cell + 1] - edges[cell])
