"""Boards that dry by diffusion through their layers: an account of drying that is not ours.

The model under test knows one number a board, its mean moisture, and a closed form; here
water moves from layer to layer through half the thickness, by finite volumes and implicit
daily steps, with a film of still air at the surface. What both have in common is only the
equilibrium of the air, which has its own tests against printed tables.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from webapp.drying.air import AirCourses
    from webapp.drying.arrays import Array


LAYERS = 8
# Transverse diffusion at 20 degC near the dry end [mm2/day], growing with moisture up to fibre
# saturation; the film's resistance [day/mm]: an inch board then dries in a few warm months.
DIFFUSION_MM2_PER_DAY = 3.0
FILM_DAY_PER_MM = 1.2
FIBRE_SATURATION_PCT = 28.0
JOULE_PER_MOL, GAS_CONSTANT = 35_000.0, 8.314


@dataclass(frozen=True)
class Weather:
    """The air round a stack day by day: temperature, equilibrium, and how freely it flows."""

    temperature_c: Array
    emc_pct: Array
    flow: Array

    @classmethod
    def at(cls, air: AirCourses, place: int, first_day: float, days: int) -> Weather:
        """The normal air of a place from a day on."""
        begin = int(first_day) - air.first_day
        here = slice(begin, begin + days)
        return cls(
            air.temperature_c[place, here].copy(), air.emc_pct[place, here].copy(), np.ones(days)
        )


def _warmth(temperature_c: float) -> float:
    """How much faster water moves than at 20 degC."""
    return float(np.exp(JOULE_PER_MOL / GAS_CONSTANT * (1 / 293.15 - 1 / (temperature_c + 273.15))))


def _conductances(layers: Array, width_mm: Array, pace: Array) -> Array:
    """Between neighbouring layers, and last from the outer layer into the air [boards, L]."""
    bound = np.minimum(layers, FIBRE_SATURATION_PCT) / FIBRE_SATURATION_PCT
    diffusion = DIFFUSION_MM2_PER_DAY * pace[:, None] * (0.6 + 1.4 * bound)
    half = width_mm[:, None] / 2.0 / diffusion
    inner = 1.0 / (half[:, :-1] + half[:, 1:])
    film = FILM_DAY_PER_MM / pace
    return np.column_stack([inner, 1.0 / (half[:, -1] + film)])


def _step(layers: Array, width_mm: Array, conductance: Array, emc_pct: float) -> Array:
    """One implicit day."""
    boards = len(layers)
    matrix = np.zeros((boards, LAYERS, LAYERS))
    right = layers * width_mm[:, None]
    for n in range(LAYERS):
        matrix[:, n, n] = width_mm + conductance[:, n] + (conductance[:, n - 1] if n else 0.0)
        if n + 1 < LAYERS:
            matrix[:, n, n + 1] = matrix[:, n + 1, n] = -conductance[:, n]
    right[:, -1] += conductance[:, -1] * emc_pct
    return np.asarray(np.linalg.solve(matrix, right[:, :, None])[:, :, 0])


def dried(weather: Weather, thickness_mm: Array, green_pct: Array, pace: Array) -> Array:
    """Mean moisture of boards at the beginning of each day of the weather [boards, days]."""
    layers = np.repeat(np.asarray(green_pct, dtype=float)[:, None], LAYERS, axis=1)
    width = np.asarray(thickness_mm) / 2.0 / LAYERS
    means = np.empty((len(layers), len(weather.emc_pct)))
    for day, emc in enumerate(weather.emc_pct):
        means[:, day] = layers.mean(axis=1)
        speed = _warmth(float(weather.temperature_c[day])) * weather.flow[day]
        conductance = _conductances(layers, width, pace) * speed
        layers = _step(layers, width, conductance, float(emc))
    return means
