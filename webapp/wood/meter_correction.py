"""From what a meter shows to moisture content: wood temperature first, then species."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from webapp.wood.arrays import ArrayLike, FloatArray, as_floats
from webapp.wood.meter_tables import SpeciesRow, TemperatureChart, species_rows, temperature_chart

SCALES = ("as_shown", "douglas_fir")
"""What the display means: moisture of the wood set on the meter, or of Douglas-fir."""

TEMPERATURES = ("compensated", "not_compensated")
"""Whether the meter, or its keeper, has already corrected for the temperature of the wood."""

PER_DEGREE = 0.13
"""Points of moisture per degC near room temperature: VTT Publications 420 (2000) gives 0.10 to
0.15, the chart of James 1988 0.13 at a reading of 12 %."""

_CHART_SD = 0.15  # accuracy of the digitized chart, points
_BEYOND_CHART_SD = 2.0  # assumption: cells above 28 % lie past the end of the chart
_KNOWN_TEMPERATURE_SD_C = 2.0  # assumption: a wood temperature that was written down
_UNKNOWN_TEMPERATURE_SD_C = 8.0  # assumption: nobody wrote one down
_PER_POINT_OUTSIDE = 0.25  # assumption: growth of the doubt per point of reading off the table
_REMEMBERED_SD = {"high": 0.3, "medium": 0.6, "low": 1.0}  # assumption, by how sure the row is
_REFERENCE_SD = 0.3  # table at 26.7 degC, chart at 21.1: some half a point between the two
_PINLESS_SD = 1.5  # assumption: no published correction, error goes with density


@dataclass(frozen=True)
class Corrected:
    """Corrected readings, with what was added and how much doubt the correction brings.

    All are arrays over the readings: moisture in percent, points added for temperature and for
    species, the standard deviation in points that the correction adds to the meter's own error,
    and whether the figure rests on recalled rows or lies off the printed tables.
    """

    moisture_pct: FloatArray
    temperature_points: FloatArray
    species_points: FloatArray
    extra_sd: FloatArray
    remembered: NDArray[np.bool_]
    off_table: NDArray[np.bool_]


def correct(  # noqa: PLR0913 - a reading has this many circumstances, all named at the call
    reading_pct: ArrayLike,
    *,
    scale: str | NDArray[np.str_],
    temperature_kind: str | NDArray[np.str_],
    wood_temperature_c: ArrayLike,
    species: str | NDArray[np.str_],
    kind: str | NDArray[np.str_] = "pin",
) -> Corrected:
    """Turn raw readings into moisture content: temperature first, then species.

    A reading that is as shown and compensated stays as it is. Otherwise a pin reading goes
    through the temperature chart (where not compensated) and the species table (where the scale
    is Douglas-fir's). All inputs are spread over one shape.

    Parameters
    ----------
    reading_pct : array_like
        What the meter showed, percent.
    scale : str or array of str
        One of `SCALES`.
    temperature_kind : str or array of str
        One of `TEMPERATURES`.
    wood_temperature_c : array_like
        Temperature of the wood, degC; NaN where nobody wrote it down.
    species : str or array of str
        Name as in the species table; a name without a row of its own is left uncorrected, with a
        doubt as wide as the species of the table differ.
    kind : str or array of str, optional
        "pin" or "pinless"; pinless readings are not corrected, for no published rule was found.

    Returns
    -------
    Corrected
        Moisture content in percent and its parts, in points. NaN readings stay NaN.

    Raises
    ------
    ValueError
        A scale, temperature kind or meter kind is not known.

    Notes
    -----
    The chart holds from -20 to 50 degC and readings of 6 to 25 %, the species table from 8 to
    22 %. Outside, the correction of the nearest edge is kept and the doubt grows. Above fibre
    saturation no resistance meter tells more than "wet". The chart is about 1.4 times as strong
    as an equation of Pfaff and Garrahan (1986) that is known here from memory only.

    References
    ----------
    .. [1] James 1988, Electric moisture meters for wood, FPL-GTR-6, Figure 5 (digitized,
       second-hand) and resistance table (recalled).
    .. [2] Forsen and Tarvainen 2000, Accuracy and functionality of hand held wood moisture
       content meters, VTT Publications 420.
    """
    shown = as_floats(reading_pct)
    words = [np.asarray(word, dtype=np.str_) for word in (scale, temperature_kind, kind, species)]
    shown, wood_c, scales, temperatures, kinds, names = np.broadcast_arrays(
        shown, as_floats(wood_temperature_c), *words
    )
    _refuse_unknown(scales, SCALES, "scale")
    _refuse_unknown(temperatures, TEMPERATURES, "temperature kind")
    _refuse_unknown(kinds, ("pin", "pinless"), "kind of meter")
    pin = kinds == "pin"
    warm = (temperatures == "not_compensated") & pin
    fir = (scales == "douglas_fir") & pin
    points, chart_sd, off_chart = temperature_correction(shown, wood_c)
    points = np.where(warm, points, 0.0)
    added, species_sd, remembered, off_species = species_correction(shown + points, names)
    uncorrected = ~pin & ((scales == "douglas_fir") | (temperatures == "not_compensated"))
    variance = np.where(warm, chart_sd**2, 0.0) + np.where(fir, species_sd**2, 0.0)
    variance = variance + np.where(warm & fir, _REFERENCE_SD**2, 0.0)
    variance = variance + np.where(uncorrected, _PINLESS_SD**2, 0.0)
    species_points = np.where(fir, added, 0.0)
    return Corrected(
        moisture_pct=shown + points + species_points,
        temperature_points=points,
        species_points=species_points,
        extra_sd=np.sqrt(variance),
        remembered=fir & remembered,
        off_table=(warm & off_chart) | (fir & off_species),
    )


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
    at_c = np.clip(np.where(told, wood_c, 21.1), *_ends(chart.temperatures_c))
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


def species_correction(
    reading_pct: ArrayLike, species: str | NDArray[np.str_]
) -> tuple[FloatArray, FloatArray, NDArray[np.bool_], NDArray[np.bool_]]:
    """Give the points to add to a Douglas-fir reading for the species.

    Parameters
    ----------
    reading_pct : array_like
        Reading in percent, corrected for temperature; the table reaches from 8 to 22 % MC.
    species : str or array of str
        Name as in the species table.

    Returns
    -------
    points, sd : ndarray
        Points to add, and the standard deviation of that correction in points. A species without
        a row gets no points, and the spread of the tabled species as its deviation.
    remembered, off_table : ndarray of bool
        Where the row is recalled rather than seen; where the reading lies off its row, or the
        species has none.

    References
    ----------
    .. [1] James 1988, Electric moisture meters for wood, FPL-GTR-6, resistance table (recalled).
    """
    reading, names = np.broadcast_arrays(
        as_floats(reading_pct), np.asarray(species, dtype=np.str_)
    )
    points = np.zeros(reading.shape)
    sd = _spread_of_species(reading)
    remembered = np.zeros(reading.shape, dtype=np.bool_)
    off_table = np.ones(reading.shape, dtype=np.bool_)
    by_name = {name: row for row in species_rows() for name in row.covers}
    for name in np.unique(names):
        row = by_name.get(str(name))
        if row is None:
            continue
        here = names == name
        outside = _outside(row, reading)
        points = np.where(here, _points_of(row, reading), points)
        own_sd = _REMEMBERED_SD[row.confidence] if row.remembered else 0.0
        slack = _PER_POINT_OUTSIDE * outside * float(row.remembered)
        sd = np.where(here, np.hypot(own_sd, slack), sd)
        remembered = np.where(here, row.remembered, remembered)
        off_table = np.where(here, (outside > 0.0) & row.remembered, off_table)
    return points, sd, remembered, off_table


def _refuse_unknown(words: NDArray[np.str_], known: tuple[str, ...], what: str) -> None:
    strange = sorted(set(np.unique(words).tolist()) - set(known))
    if strange:
        message = f"no {what} is called {strange[0]!r}: {', '.join(known)}"
        raise ValueError(message)


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


def _points_of(row: SpeciesRow, reading_pct: FloatArray) -> FloatArray:
    return np.interp(reading_pct, row.readings_pct, row.moisture_pct - row.readings_pct)


def _outside(row: SpeciesRow, reading_pct: FloatArray) -> FloatArray:
    low, high = _ends(row.readings_pct)
    return np.maximum(np.maximum(low - reading_pct, reading_pct - high), 0.0)


def _spread_of_species(reading_pct: FloatArray) -> FloatArray:
    every = [_points_of(row, reading_pct) for row in species_rows()]
    return np.std(np.stack(every), axis=0)
