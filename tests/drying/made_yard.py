"""Small yards made of plain numbers, for tests of the drying model."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

import numpy as np

from webapp.drying.air import AirCourses, PlaceAir, air_courses
from webapp.drying.background import Background, background_of
from webapp.drying.forecast import HORIZON_DAYS
from webapp.drying.judge import Judgement, judge
from webapp.drying.priors import YardEffect
from webapp.drying.stacks import Boards, Readings, Stays
from webapp.drying.weather import FeltWeather

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from webapp.drying.arrays import Array

METER_LIMIT_PCT = 30.0
NONE = np.zeros(0)
# Temperate: cold damp winters, warm summers; invented.
TEMPERATURES_C = np.array([-2.0, 0, 4, 10, 15, 19, 21, 20, 16, 10, 4, 0])
HUMIDITIES_PCT = np.array([83.0, 80, 74, 68, 67, 68, 69, 71, 75, 79, 83, 84])


def day(text: str) -> float:
    """Count a date, as 2024-05-01, in days since 1970-01-01."""
    return float((date.fromisoformat(text) - date(1970, 1, 1)).days)


def steady(temperature_c: float = 20.0, rh_pct: float = 65.0) -> PlaceAir:
    """A place whose air never changes."""
    return PlaceAir(np.full(12, temperature_c), np.full(12, rh_pct), NONE, NONE, NONE)


def temperate() -> PlaceAir:
    """An open shed with four seasons."""
    return PlaceAir(TEMPERATURES_C, HUMIDITIES_PCT, NONE, NONE, NONE)


def continental() -> PlaceAir:
    """An open shed with hard winters."""
    colder = np.array([-10.0, -9, -6, -3, 0, 0, 0, 0, -1, -3, -6, -9])
    return PlaceAir(TEMPERATURES_C + colder, HUMIDITIES_PCT, NONE, NONE, NONE)


def heated() -> PlaceAir:
    """A heated room, dry all year and driest in winter."""
    return PlaceAir(np.full(12, 20.0), 42.0 + 8.0 * _summer(), NONE, NONE, NONE)


def _summer() -> Array:
    return np.asarray(-np.cos(2.0 * np.pi * (np.arange(12) + 0.5) / 12.0))


def boards_of(
    counts: Sequence[int],
    *,
    stacked: float | Sequence[float],
    thickness_mm: float | Array = 27.0,
    density: float | Array = 0.5,
    green_pct: float | Array = 80.0,
    target_pct: float = np.nan,
    moves: Sequence[tuple[int, float, int]] = (),
) -> Boards:
    """Stacks of so many boards; ``stacked`` by stack, ``moves`` as stack, day, place."""
    stack = np.repeat(np.arange(len(counts)), counts)
    first = np.broadcast_to(np.asarray(stacked, dtype=float), len(counts))[stack]
    from_day = np.column_stack([first, np.full(len(stack), np.inf)])
    place = np.zeros((len(stack), 2), dtype=np.intp)
    for moved, on, where in moves:
        from_day[stack == moved, 1] = on
        place[stack == moved, 1] = where
    every = len(stack)
    return Boards(
        stack,
        np.broadcast_to(np.asarray(thickness_mm, dtype=float), every).copy(),
        np.broadcast_to(np.asarray(density, dtype=float), every).copy(),
        np.broadcast_to(np.asarray(green_pct, dtype=float), every).copy(),
        np.full(every, 0.4),
        np.full(every, target_pct),
        Stays(from_day, place),
    )


def readings_of(rows: Iterable[tuple[int, float, float]]) -> Readings:
    """Readings as board, day, moisture; above the meter's limit they show over range."""
    table = np.array(sorted(rows), dtype=float).reshape(-1, 3)
    over = table[:, 2] > METER_LIMIT_PCT
    return Readings(
        table[:, 0].astype(np.intp),
        table[:, 1],
        np.where(over, METER_LIMIT_PCT, table[:, 2]),
        over,
        np.zeros(len(table), dtype=bool),
        np.zeros(len(table)),
    )


def visits(
    moisture: Array,
    first_day: float,
    days: Iterable[float],
    *,
    rng: np.random.Generator | None = None,
    board: int = 0,
) -> list[tuple[int, float, float]]:
    """What a meter shows of boards [boards, days] on visits, with the scatter of a pin meter."""
    rows = []
    for on in days:
        for row, true in enumerate(moisture[:, int(on - first_day)]):
            sd = 0.5 + 0.06 * max(true - 12.0, 0.0)
            shown = true + (rng.normal(0.0, sd) if rng else 0.0)
            rows.append((board + row, float(on), round(float(shown), 1)))
    return rows


def courses(places: Sequence[PlaceAir], first_day: float, today: float) -> AirCourses:
    """The air of all places, as far ahead as a verdict looks."""
    return air_courses(places, first_day, today + HORIZON_DAYS + 31.0)


def plain_background(boards: Boards, air: AirCourses, today: float) -> Background:
    """Nothing known of the yard as a whole."""
    first = float(boards.stays.first_day.min())
    weather = FeltWeather.normal(len(air.emc_pct), first, today)
    return Background(YardEffect.unknown(boards.stacks), weather)


@dataclass(frozen=True)
class MadeYard:
    """Boards with their air and readings, to be judged on any day."""

    boards: Boards
    readings: Readings
    places: Sequence[PlaceAir]

    def judged(self, today: float, *, refitted: bool = False) -> Judgement:
        """Judge on a day, from what was read by then."""
        first = float(self.boards.stays.first_day.min())
        air = courses(self.places, first, today)
        known = self.readings.where(self.readings.day <= today)
        if not refitted:
            background = plain_background(self.boards, air, today)
        else:
            causes = np.ones((self.boards.stacks, 2))
            background = background_of(known, self.boards, air, causes, today)
        return judge(known, self.boards, air, background, today)
