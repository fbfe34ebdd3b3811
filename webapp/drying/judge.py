"""From readings to verdicts: the whole way for all stacks of a yard on one day."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from webapp.drying import curve
from webapp.drying.air import AirCourses
from webapp.drying.fit import Posterior, fit
from webapp.drying.forecast import (
    EARLY,
    LATE,
    LEVEL_PCT,
    MIDDLE,
    crossing_days,
    look_ahead,
    outlook_days,
)
from webapp.drying.priors import YardEffect
from webapp.drying.stacks import Boards, Readings
from webapp.drying.trouble import Findings, Kind, weigh
from webapp.drying.verdict import (
    WET_PCT,
    Chances,
    Fit,
    State,
    Verdict,
    fit_for_target,
    states_of,
)
from webapp.drying.weather import FeltWeather, felt_weather
from webapp.drying.yard_effect import yard_effect

Array = NDArray[np.float64]

LOOK_BACK_DAYS = 60.0
# A trouble that ended less than this long ago still shows.
JUST_ENDED_DAYS = 20.0
WETTED_LATELY_DAYS = 45.0
RISE_PCT = 0.5
MUCH_RISE_PCT = 1.0
STILL_FALLING_PCT = 0.8
DOUBTFUL_SD = 4.0
EIGHTY = float(ndtri(LATE))
REFIT_ROUNDS = 2


@dataclass(frozen=True)
class Background:
    """What a full refit found out about a yard, to be held while single stacks are refitted."""

    effect: YardEffect
    weather: FeltWeather


@dataclass(frozen=True)
class Judgement:
    """Verdicts of all boards, with the fits that they rest on."""

    verdicts: list[Verdict]
    findings: Findings
    air: AirCourses


def background_of(
    readings: Readings, boards: Boards, air: AirCourses, causes: Array, places: int, today: float
) -> Background:
    """Estimate what the stacks of a yard share: meter and station biases, and the weather.

    Parameters
    ----------
    readings, boards, air
        All of the yard, readings up to today.
    causes : array [stacks, places + meters]
        As `yard_effect` wants them.
    places : int
        How many places there are.
    today : float
        Day from which one looks back.

    Returns
    -------
    Background
        After two rounds of fitting all stacks, each in the weather found by the last.
    """
    effect = YardEffect.unknown(boards.stacks)
    first = float(readings.day.min()) if len(readings) else today
    weather = FeltWeather.normal(places, first, today)
    if len(readings) == 0:
        return Background(effect, weather)
    posterior = fit(readings, boards, air, effect, rough=True)
    for _ in range(REFIT_ROUNDS):
        effect = yard_effect(posterior, causes)
        weather = felt_weather(posterior, weather)
        start = posterior.mode.member, posterior.mode.group
        posterior = fit(readings, boards, weather.on(air), effect, start=start, rough=True)
    return Background(yard_effect(posterior, causes), weather)


@dataclass(frozen=True)
class _Today:
    """Where each copy of a board stands today, and how surely [boards of the fit]."""

    moisture: Array
    moisture_sd: Array
    path: Array
    excess: Array
    excess_sd: Array
    fall: Array
    path_rise: Array


def _stand(posterior: Posterior, today: float) -> _Today:
    """Evaluate the fit today and sixty days ago."""
    drying, mode = posterior.curve, posterior.mode
    rows = np.arange(len(drying.boards))
    day = np.full(len(rows), today)
    segments = drying.segments
    moved = np.where(segments.from_day <= today, segments.from_day, -np.inf)
    changed_place = np.concatenate(
        [np.ones((len(rows), 1), bool), np.diff(segments.place, axis=1) != 0], axis=1
    )
    arrived = np.where(changed_place, moved, -np.inf).max(axis=1)
    back = np.maximum(today - LOOK_BACK_DAYS, arrived)
    moisture, slope = drying.moisture(mode.member, mode.group, rows, day)
    path, path_slope = drying.untroubled_path(mode.member, mode.group, rows, day)
    before, _ = drying.moisture(mode.member, mode.group, rows, back)
    path_before, _ = drying.untroubled_path(mode.member, mode.group, rows, back)
    covariance = posterior.covariance()
    sd = np.sqrt(np.einsum("bi,bij,bj->b", slope, covariance, slope))
    apart = slope - path_slope
    excess_sd = np.sqrt(np.einsum("bi,bij,bj->b", apart, covariance, apart))
    share = LOOK_BACK_DAYS / np.maximum(today - back, LOOK_BACK_DAYS / 3.0)
    return _Today(
        moisture,
        np.maximum(sd, 1e-3),
        path,
        moisture - path,
        np.maximum(excess_sd, 1e-3),
        (before - moisture) * share,
        (path - path_before) * share,
    )


def _chance_below(excess: Array, sd: Array, limit: float) -> Array:
    """Probability that an excess is below a limit.

    An excess that is still there decays, so that its logarithm is what the fit knows about
    normally; one that is gone or negative is normal itself.
    """
    positive = np.maximum(excess, 1e-6)
    log_sd = np.sqrt(np.log1p((sd / positive) ** 2))
    by_log = ndtr((np.log(limit) - np.log(positive)) / np.maximum(log_sd, 1e-6))
    plain = ndtr((limit - excess) / sd)
    return np.where(excess > limit / 2.0, by_log, plain)


def _chances(findings: Findings, stand: _Today, readings: Readings, today: float) -> Chances:
    """Average over the courses of events what could be said of each board."""
    posterior = findings.posterior
    boards = int(findings.board_source.max()) + 1
    stack = posterior.curve.boards.stack
    weight = findings.weight_of_board

    def average(values: Array) -> Array:
        return np.bincount(findings.board_source, weight * values, boards)

    from_day = np.array([s.from_day for s in findings.suspicions])[stack]
    until_day = np.array([s.until_day for s in findings.suspicions])[stack]
    kind = findings.kind[stack]
    lasts = (from_day <= today) & (today < until_day + JUST_ENDED_DAYS)
    lasting = lasts & np.isin(kind, [Kind.AIR_BLOCKED, Kind.DAMP])
    wetted = (kind == Kind.WETTED) & (from_day <= today) & (today < until_day + WETTED_LATELY_DAYS)
    risen = -stand.fall - np.maximum(stand.path_rise, 0.0)
    wetter = (wetted & (risen > -RISE_PCT)) | (lasting & (risen > MUCH_RISE_PCT))
    above = 1.0 - _chance_below(stand.excess, stand.excess_sd, 1.0)
    still = stand.fall < STILL_FALLING_PCT
    level = _chance_below(stand.excess, stand.excess_sd, LEVEL_PCT)
    number = ~(readings.over | readings.under)
    return Chances(
        getting_wetter=average(wetter.astype(float)),
        stalled=average((lasting & still & ~wetter) * above),
        levelled_off=average(level),
        wet=average(ndtr((stand.moisture - WET_PCT) / stand.moisture_sd)),
        more_to_lose=average(1.0 - level),
        excess_pct=average(stand.excess),
        fall_pct=average(stand.fall),
        readings=np.bincount(readings.board, minlength=boards),
        numbers=np.bincount(readings.board, number, boards).astype(np.intp),
        doubtful=_doubtful(findings, readings, boards),
    )


def _doubtful(findings: Findings, readings: Readings, boards: int) -> NDArray[np.bool_]:
    """Whether the last reading of a board is far off under every course of events."""
    posterior = findings.posterior
    copied = posterior.error.readings
    away = np.abs(posterior.error.surprise(posterior.fitted_pct()))
    last = np.full(len(posterior.curve.boards), -1)
    last[copied.board] = np.arange(len(copied))
    read = last >= 0
    doubt = np.zeros(len(last))
    doubt[read] = away[last[read]] > DOUBTFUL_SD
    share = np.bincount(findings.board_source, findings.weight_of_board * doubt, boards)
    return np.asarray(share > LATE)


def judge(
    readings: Readings, boards: Boards, air: AirCourses, background: Background, today: float
) -> Judgement:
    """Judge every board of some stacks on one day.

    Parameters
    ----------
    readings : Readings
        Corrected readings, sorted by board; those after today are left out.
    boards : Boards
        The boards, by stack.
    air : AirCourses
        Normal air of all places.
    background : Background
        What the yard's stacks share, its effect in the order of these stacks.
    today : float
        Day since 1970-01-01 of the verdict.

    Returns
    -------
    Judgement
        One verdict a board, in their order, with the fits behind them.
    """
    known = readings.where(readings.day <= today)
    felt = background.weather.on(air)
    findings = weigh(known, boards, felt, background.effect, today)
    stand = _stand(findings.posterior, today)
    chances = _chances(findings, stand, known, today)
    states, probability = states_of(chances)
    weight, source = findings.weight_of_board, findings.board_source

    def average(values: Array) -> Array:
        return np.bincount(source, weight * values, len(boards))

    moisture = average(stand.moisture)
    spread = average(stand.moisture**2 + stand.moisture_sd**2) - moisture**2
    half = EIGHTY * np.sqrt(np.maximum(spread, 0.0))
    path, excess = average(stand.path), average(stand.excess)
    below = average(ndtr((boards.target_pct[source] - stand.moisture) / stand.moisture_sd))
    ready = _ready_days(findings, boards, today)
    verdicts = []
    for n, state in enumerate(states):
        aimed = bool(np.isfinite(boards.target_pct[n]))
        level = state is State.LEVELLED_OFF
        fits = fit_for_target(
            float(below[n]), read=bool(chances.readings[n]), aimed=aimed, level=level
        )
        verdicts.append(
            Verdict(
                state,
                float(probability[n]),
                float(moisture[n]),
                float(max(moisture[n] - half[n], 0.0)),
                float(moisture[n] + half[n]),
                float(excess[n]),
                float(path[n]),
                fits,
                *(float(r[n]) for r in ready),
                reason="",
            )
        )
    return Judgement(verdicts, findings, felt)


def _ready_days(findings: Findings, boards: Boards, today: float) -> tuple[Array, Array, Array]:
    """Middle, early and late day on which each board reaches its goal.

    NaN where the middle is not in sight within the horizon; an infinite late day is open.
    """
    first = float(boards.stays.first_day.min())
    days = outlook_days(first, today)
    outlook = look_ahead(findings.posterior, days, today)
    chance = np.zeros((len(boards), len(days)))
    np.add.at(chance, findings.board_source, findings.weight_of_board[:, None] * outlook.chance)
    middle, early, late = (crossing_days(days, chance, level) for level in (MIDDLE, EARLY, LATE))
    seen = np.isfinite(middle)
    return tuple(np.where(seen, day, np.nan) for day in (middle, early, late))  # type: ignore[return-value]
