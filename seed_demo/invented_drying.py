"""How the invented boards dry: moisture moving by diffusion through layers of half a board.

This is not the drying model that judges them, on purpose: what the demo shows would otherwise be
that model's opinion of itself. Rates are set so that inch boards take a season in the open shed.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

LAYERS = 7
NEEDLE_DEPTH = 0.5  # of half the thickness: the pins end at a quarter of the board
KELVIN, WARM_C = 273.15, 20.0
GAS_CONSTANT_J_PER_MOL_K, ACTIVATION_J_PER_MOL = 8.314, 36_000.0
# Of a wood of density 0.5 at 20 degC and 12 % moisture.
DIFFUSION_MM2_PER_DAY = 4.6
FASTER_PER_POINT, FASTEST_AT_PCT = 0.035, 32.0
MIDDLE_DENSITY, DENSITY_POWER = 0.5, 1.2
# What passes from the surface to the air that goes through an open stack.
SURFACE_MM_PER_DAY = 0.55


@dataclass(frozen=True)
class Lumber:
    """What is dried [boards]: size, density, moisture and day when it is stacked."""

    thickness_mm: Array
    density: Array
    start_pct: Array
    start_day: NDArray[np.intp]


@dataclass(frozen=True)
class Surroundings:
    """What acts on each board, day by day [boards, days].

    ``airflow`` is 1 in an open stack; ``drip_pct`` is water that falls on the board.
    """

    surface_pct: Array
    temperature_c: Array
    airflow: Array
    drip_pct: Array


def dry(lumber: Lumber, around: Surroundings) -> Array:
    """Give the moisture at the depth of the pins, by board and day; before the stacking, green."""
    depth = lumber.thickness_mm / 2.0 / LAYERS
    layers = np.repeat(lumber.start_pct[:, None], LAYERS, axis=1)
    at_pins = np.empty_like(around.surface_pct)
    warmth = _warmth(around.temperature_c)
    light = MIDDLE_DENSITY / lumber.density
    dense = light**DENSITY_POWER
    for day in range(at_pins.shape[1]):
        stacked = lumber.start_day <= day
        speed = warmth[:, day] * dense
        # The same water is fewer points of moisture in a denser board.
        skin = SURFACE_MM_PER_DAY * warmth[:, day] * light * around.airflow[:, day] * stacked
        inside = DIFFUSION_MM2_PER_DAY * (speed * stacked)[:, None] * _ease(layers)
        layers[:, 0] += LAYERS * around.drip_pct[:, day] * stacked
        layers = _a_day(layers, depth, inside, skin, around.surface_pct[:, day])
        at_pins[:, day] = _at_needle(layers)
    return at_pins


def _warmth(temperature_c: Array) -> Array:
    inverse = 1.0 / (WARM_C + KELVIN) - 1.0 / (temperature_c + KELVIN)
    return np.asarray(np.exp(ACTIVATION_J_PER_MOL / GAS_CONSTANT_J_PER_MOL_K * inverse))


def _ease(layers: Array) -> Array:
    points = np.minimum(layers, FASTEST_AT_PCT) - 12.0
    return np.asarray(np.exp(FASTER_PER_POINT * points))


def _a_day(layers: Array, depth: Array, inside: Array, skin: Array, surface_pct: Array) -> Array:
    """Let one day pass: an implicit step, which is stable however thin the layers are."""
    between = (inside[:, 1:] + inside[:, :-1]) / 2.0 / depth[:, None] ** 2
    outermost = 2.0 * inside[:, 0] / depth
    out = np.divide(skin * outermost, skin + outermost, out=np.zeros_like(skin), where=skin > 0.0)
    out = out / depth
    diagonal = np.ones_like(layers)
    diagonal[:, :-1] += between
    diagonal[:, 1:] += between
    diagonal[:, 0] += out
    wanted = layers.copy()
    wanted[:, 0] += out * surface_pct
    return _solved(diagonal, -between, wanted)


def _solved(diagonal: Array, beside: Array, wanted: Array) -> Array:
    """Solve the symmetric tridiagonal systems of all boards at once."""
    diagonal, solved = diagonal.copy(), wanted.copy()
    for layer in range(1, LAYERS):
        share = beside[:, layer - 1] / diagonal[:, layer - 1]
        diagonal[:, layer] -= share * beside[:, layer - 1]
        solved[:, layer] -= share * solved[:, layer - 1]
    solved[:, -1] /= diagonal[:, -1]
    for layer in range(LAYERS - 2, -1, -1):
        following = beside[:, layer] * solved[:, layer + 1]
        solved[:, layer] = (solved[:, layer] - following) / diagonal[:, layer]
    return solved


def _at_needle(layers: Array) -> Array:
    position = NEEDLE_DEPTH * LAYERS - 0.5
    below = int(position)
    share = position - below
    return (1.0 - share) * layers[:, below] + share * layers[:, below + 1]
