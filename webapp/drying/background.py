"""What a full refit finds out about a yard, to be held while single stacks are refitted."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from webapp.drying.fit import MOST_STEPS, fit
from webapp.drying.priors import YardEffect
from webapp.drying.weather import FeltWeather, felt_weather
from webapp.drying.yard_effect import yard_effect

if TYPE_CHECKING:
    from webapp.drying.air import AirCourses
    from webapp.drying.arrays import Array
    from webapp.drying.stacks import Boards, Readings


REFIT_ROUNDS = 2


@dataclass(frozen=True)
class Background:
    """What the stacks of a yard share: biases of meters and stations, and the weather."""

    effect: YardEffect
    weather: FeltWeather


def background_of(
    readings: Readings, boards: Boards, air: AirCourses, causes: Array, today: float
) -> Background:
    """Estimate what the stacks of a yard share.

    Parameters
    ----------
    readings, boards, air
        All of the yard; readings sorted by board, none after today.
    causes : array [stacks, places + meters]
        As `yard_effect` wants them.
    today : float
        Day from which one looks back, days since 1970-01-01.

    Returns
    -------
    Background
        After two rounds of fitting all stacks, each in the weather found by the last.
    """
    effect = YardEffect.unknown(boards.stacks)
    first = float(readings.day.min()) if len(readings) else today
    weather = FeltWeather.normal(len(air.emc_pct), first, today)
    if len(readings) == 0:
        return Background(effect, weather)
    posterior = fit(readings, boards, air, effect, rough_steps=MOST_STEPS)
    for _ in range(REFIT_ROUNDS):
        effect = yard_effect(posterior, causes)
        weather = felt_weather(posterior, weather)
        start = posterior.mode.member, posterior.mode.group
        posterior = fit(
            readings, boards, weather.on(air), effect, start=start, rough_steps=MOST_STEPS
        )
    return Background(yard_effect(posterior, causes), weather)
