"""What the species does to the reading of a meter with the Douglas-fir scale."""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from webapp.wood.arrays import ArrayLike, FloatArray, as_floats
from webapp.wood.tables import rows_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

_PER_POINT_OUTSIDE = 0.25  # assumption: growth of the doubt per point of reading off the row
_REMEMBERED_SD = {"high": 0.3, "medium": 0.6, "low": 1.0}  # assumption, by how sure the row is


@dataclass(frozen=True)
class SpeciesRow:
    """Moisture against the reading of a Douglas-fir meter for the species it covers, both in %."""

    name: str
    covers: tuple[str, ...]
    readings_pct: FloatArray
    moisture_pct: FloatArray
    confidence: str
    remembered: bool
    source: str


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
    reading, names = np.broadcast_arrays(as_floats(reading_pct), np.asarray(species, dtype=np.str_))
    points = np.zeros(reading.shape)
    sd = _spread_of_species(reading)
    remembered = np.zeros(reading.shape, dtype=np.bool_)
    off_table = np.ones(reading.shape, dtype=np.bool_)
    by_name = {name: row for row in species_rows() for name in row.covers}
    kinds, which = np.unique(names, return_inverse=True)
    for index, name in enumerate(kinds):
        row = by_name.get(str(name))
        if row is None:
            continue
        here = which.reshape(names.shape) == index
        outside = _outside(row, reading)
        points = np.where(here, _points_of(row, reading), points)
        own_sd = _REMEMBERED_SD[row.confidence] if row.remembered else 0.0
        slack = _PER_POINT_OUTSIDE * outside * float(row.remembered)
        sd = np.where(here, np.hypot(own_sd, slack), sd)
        remembered = np.where(here, row.remembered, remembered)
        off_table = np.where(here, (outside > 0.0) & row.remembered, off_table)
    return points, sd, remembered, off_table


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
    rows = rows_of("meter_species.csv")
    names = dict.fromkeys(row["row"] for row in rows)
    return tuple(_species_row([row for row in rows if row["row"] == name]) for name in names)


def species_source(species: str) -> str | None:
    """Tell where a species' correction stands.

    Parameters
    ----------
    species : str
        Name as in the species table.

    Returns
    -------
    str or None
        The source of its row of points to add, as printed; none where no row covers it.

    References
    ----------
    .. [1] The column `source` of meter_species.csv.

    Examples
    --------
    >>> species_source("coast Douglas-fir")
    'the scale is that of Douglas-fir'
    """
    rows = (row for row in species_rows() if species in row.covers)
    return next((row.source for row in rows), None)


def _species_row(rows: list[dict[str, str]]) -> SpeciesRow:
    return SpeciesRow(
        name=rows[0]["row"],
        covers=tuple(rows[0]["covers"].split(";")),
        readings_pct=np.array([float(row["douglas_fir_reading_pct"]) for row in rows]),
        moisture_pct=np.array([float(row["moisture_pct"]) for row in rows]),
        confidence=rows[0]["confidence"],
        remembered=rows[0]["seen"] == "memory",
        source=rows[0]["source"],
    )


def _points_of(row: SpeciesRow, reading_pct: FloatArray) -> FloatArray:
    points = row.moisture_pct - row.readings_pct
    return as_floats(np.interp(reading_pct, row.readings_pct, points))


def _outside(row: SpeciesRow, reading_pct: FloatArray) -> FloatArray:
    inside = np.clip(reading_pct, row.readings_pct[0], row.readings_pct[-1])
    return as_floats(np.abs(reading_pct - inside))


def _spread_of_species(reading_pct: FloatArray) -> FloatArray:
    every = [_points_of(row, reading_pct) for row in species_rows()]
    return as_floats(np.std(np.stack(every), axis=0))
