"""Explain the readings of a board: what each was corrected to, and by which steps."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from webapp.records.reading import Reading, readings_of
from webapp.wood.meter_correction import correct
from webapp.wood.meter_species import species_rows, species_source
from webapp.wood.meter_temperature import temperature_chart
from webapp.yard.correct_readings import OVER_RANGE_PCT, SIDE_SPOTS, UNDER_RANGE_PCT

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from webapp.records.board import Board
    from webapp.records.witness_board import WitnessBoard


@dataclass(frozen=True)
class ExplainedReading:
    """A reading with its corrected moisture and the points that each step added.

    ``temperature_unknown`` tells that the meter leaves the wood's temperature to be corrected
    for and nobody wrote it down; ``species_unknown`` that the scale is another wood's and no row
    of the table is this wood's; ``remembered`` that the species step rests on an unverified
    row; ``decides_alone`` is false at an edge or near an end.
    """

    reading: Reading
    corrected_pct: float
    temperature_points: float
    species_points: float
    temperature_unknown: bool
    species_unknown: bool
    remembered: bool
    decides_alone: bool
    temperature_source: str | None
    species_source: str | None


def explain_readings(session: Session, board: Board | WitnessBoard) -> list[ExplainedReading]:
    """Explain all readings of a board, struck ones too, oldest first."""
    readings = readings_of(session, board, struck_too=True)
    if not readings:
        return []
    found = correct(
        np.array([_shown_pct(reading) for reading in readings]),
        scale=np.array([r.meter.scale if r.meter else "as_shown" for r in readings]),
        temperature_kind=np.array([_temperature_kind(reading) for reading in readings]),
        wood_temperature_c=np.array([r.wood_temperature_c for r in readings], dtype=float),
        species=board.species,
        kind=np.array([r.meter.kind if r.meter else "pin" for r in readings]),
    )
    return [
        ExplainedReading(
            reading=reading,
            corrected_pct=float(found.moisture_pct[n]),
            temperature_points=float(found.temperature_points[n]),
            species_points=float(found.species_points[n]),
            temperature_unknown=reading.wood_temperature_c is None
            and _temperature_kind(reading) == "not_compensated",
            species_unknown=_of_another_wood(reading) and not _tabled(board.species),
            remembered=bool(found.remembered[n]),
            decides_alone=reading.spot not in SIDE_SPOTS,
            temperature_source=temperature_chart().source if found.temperature_points[n] else None,
            species_source=species_source(board.species) if found.species_points[n] else None,
        )
        for n, reading in enumerate(readings)
    ]


def _temperature_kind(reading: Reading) -> str:
    return reading.meter.temperature if reading.meter else "compensated"


def _of_another_wood(reading: Reading) -> bool:
    return reading.meter is not None and reading.meter.scale == "douglas_fir"


def _tabled(species: str) -> bool:
    return any(species in row.covers for row in species_rows())


def _shown_pct(reading: Reading) -> float:
    """Give the number of a reading, or the limit that its sign alone stands for."""
    if reading.value is not None:
        return reading.value
    meter = reading.meter
    if reading.over:
        return (meter.over_range_pct if meter else None) or OVER_RANGE_PCT
    return (meter.under_range_pct if meter else None) or UNDER_RANGE_PCT
