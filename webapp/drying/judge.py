"""From readings to verdicts: the whole way for all stacks of a yard on one day."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from scipy.special import ndtr, ndtri

from webapp.drying.forecast import (
    EARLY,
    LATE,
    MIDDLE,
    Outlook,
    crossing_days,
    look_ahead,
    outlook_days,
)
from webapp.drying.reasons import Facts, reason_for
from webapp.drying.standing import Averages, Stand, chances_today, last_rows, stand_today
from webapp.drying.suspicion import Kind
from webapp.drying.trouble import Findings, weigh
from webapp.drying.verdict import Chances, State, Verdict, fit_for, states_of

if TYPE_CHECKING:
    from webapp.drying.air import AirCourses
    from webapp.drying.arrays import Array, Index
    from webapp.drying.background import Background
    from webapp.drying.stacks import Boards, Readings


EIGHTY = float(ndtri(LATE))
# A meter's own bias hides in where the wood seems to settle, and nothing but an anchor tells
# the two apart (James 1988, FPL-GTR-6: half a point to a point below 15 %).
METER_BIAS_SD_PCT = 0.75
# A loss by which a keeper would notice that a board moves again.
MOVES_PCT_PER_MONTH = 0.5
MONTH_DAYS, YEAR_DAYS = 30.0, 365.25


@dataclass(frozen=True)
class Judgement:
    """Verdicts of all boards, with the fits and the outlook that they rest on.

    ``outlook`` is averaged over the courses of events, one row a board.
    """

    verdicts: list[Verdict]
    findings: Findings
    outlook: Outlook
    air: AirCourses


class _Ready(NamedTuple):
    """Middle, early and late day of reaching the goal [boards]; NaN: not in sight."""

    on: Array
    from_day: Array
    to_day: Array


def _ready_days(outlook: Outlook) -> _Ready:
    """Read the three days off the chances."""
    middle, early, late = (
        crossing_days(outlook.days, outlook.chance, level) for level in (MIDDLE, EARLY, LATE)
    )
    seen = np.isfinite(middle)
    return _Ready(*(np.where(seen, day, np.nan) for day in (middle, early, late)))


def _average_outlook(averages: Averages, outlook: Outlook) -> Outlook:
    """Average the outlooks of a board's copies."""
    source, boards = averages.findings.board_source, averages.boards
    weight = averages.findings.weight_of_board[:, None]
    chance, mean, square = (np.zeros((boards, len(outlook.days))) for _ in range(3))
    np.add.at(chance, source, weight * outlook.chance)
    np.add.at(mean, source, weight * outlook.mean_pct)
    np.add.at(square, source, weight * (outlook.mean_pct**2 + outlook.sd_pct**2))
    return Outlook(outlook.days, chance, mean, np.sqrt(np.maximum(square - mean**2, 0.0)))


def _likeliest_trouble(findings: Findings, stacks: int) -> tuple[list[Kind], Array]:
    """The trouble with most weight in each stack, and the day it began."""
    kinds, since = [Kind.NOTHING] * stacks, np.full(stacks, np.nan)
    best = np.zeros(stacks)
    for suspicion, weight in zip(findings.suspicions, findings.weight, strict=True):
        if suspicion.kind is not Kind.NOTHING and weight > best[suspicion.stack]:
            best[suspicion.stack] = weight
            kinds[suspicion.stack] = suspicion.kind
            since[suspicion.stack] = suspicion.from_day
    return kinds, since


def _moves_on(outlook: Outlook, today: float) -> Array:
    """The next day from which each board loses noticeably again [boards]."""
    ahead = outlook.days >= today
    days, mean = outlook.days[ahead], outlook.mean_pct[:, ahead]
    loss = -np.diff(mean, axis=1) / np.diff(days) * MONTH_DAYS
    moving = loss > MOVES_PCT_PER_MONTH
    # What never moves that much moves most some time in the coming year.
    most = loss[:, days[1:] < today + YEAR_DAYS].argmax(axis=1)
    return np.asarray(np.where(moving.any(axis=1), days[moving.argmax(axis=1)], days[most]))


@dataclass(frozen=True)
class _Known:
    """Everything worked out about the boards, before it is put into words [boards]."""

    boards: Boards
    readings: Readings
    chances: Chances
    states: list[State]
    probability: Array
    moisture: Array
    half_range: Array
    path: Array
    expected_fall: Array
    path_rise: Array
    at_goal: Array
    ready: _Ready
    lowest: Array
    moves_on: Array
    trouble: list[Kind]
    since: Array
    last_row: Index
    today: float


def _gather(
    boards: Boards, readings: Readings, findings: Findings, outlook: Outlook, today: float
) -> _Known:
    """Average the standing of all copies and lay everything out by board."""
    averages = Averages(findings, len(boards))
    stand: Stand = stand_today(findings.posterior, today)
    chances = chances_today(averages, stand, readings, today)
    states, probability = states_of(chances)
    moisture = averages.of(stand.moisture)
    square = averages.of(stand.moisture**2 + stand.moisture_sd**2)
    target = boards.target_pct[findings.board_source]
    bias_too = np.hypot(stand.moisture_sd, METER_BIAS_SD_PCT)
    below = averages.of(ndtr((target - stand.moisture) / bias_too))
    kinds, since = _likeliest_trouble(findings, boards.stacks)
    ahead = outlook.mean_pct[:, outlook.days >= today]
    return _Known(
        boards=boards,
        readings=readings,
        chances=chances,
        states=states,
        probability=probability,
        moisture=moisture,
        half_range=EIGHTY * np.sqrt(np.maximum(square - moisture**2, 0.0) + METER_BIAS_SD_PCT**2),
        path=averages.of(stand.path),
        expected_fall=averages.of(stand.expected_fall),
        path_rise=averages.of(stand.path_rise),
        at_goal=np.where(np.isfinite(boards.target_pct), below, chances.levelled_off),
        ready=_ready_days(outlook),
        lowest=ahead.min(axis=1),
        moves_on=_moves_on(outlook, today),
        trouble=[kinds[s] for s in boards.stack],
        since=since[boards.stack],
        last_row=last_rows(readings, len(boards)),
        today=today,
    )


def _facts(k: _Known, n: int) -> Facts:
    """What the reason of one board is chosen from."""
    row = int(k.last_row[n])
    read = row >= 0
    return Facts(
        state=k.states[n],
        probability=float(k.probability[n]),
        readings=int(k.chances.readings[n]),
        last_pct=float(k.readings.value_pct[row]) if read else np.nan,
        last_over=bool(read and k.readings.over[row]),
        last_days=k.today - float(k.readings.day[row]) if read else np.nan,
        expected_pct=float(k.moisture[n]),
        moisture_pct=float(k.moisture[n]),
        low_pct=float(max(k.moisture[n] - k.half_range[n], 0.0)),
        high_pct=float(k.moisture[n] + k.half_range[n]),
        excess_pct=float(k.chances.excess_pct[n]),
        equilibrium_pct=float(k.path[n]),
        target_pct=float(k.boards.target_pct[n]),
        in_sight=bool(np.isfinite(k.ready.on[n])),
        lowest_pct=float(k.lowest[n]),
        fall_pct=float(k.chances.fall_pct[n]),
        expected_fall_pct=float(k.expected_fall[n]),
        path_rise_pct=float(k.path_rise[n]),
        moves_on=float(k.moves_on[n]),
        trouble=k.trouble[n],
        since=float(k.since[n]),
    )


def _verdict(k: _Known, n: int) -> Verdict:
    """Put what is known of one board together."""
    facts = _facts(k, n)
    reason, numbers = reason_for(facts)
    fits = fit_for(float(k.at_goal[n]), facts.state)
    return Verdict(
        state=facts.state,
        probability=facts.probability,
        moisture_pct=facts.moisture_pct,
        moisture_low=facts.low_pct,
        moisture_high=facts.high_pct,
        excess_pct=facts.excess_pct,
        equilibrium_pct=facts.equilibrium_pct,
        fit=fits,
        ready_on=float(k.ready.on[n]),
        ready_from=float(k.ready.from_day[n]),
        ready_to=float(k.ready.to_day[n]),
        reason=reason,
        numbers=numbers,
    )


def judge(
    readings: Readings, boards: Boards, air: AirCourses, background: Background, today: float
) -> Judgement:
    """Judge every board of some stacks on one day.

    Parameters
    ----------
    readings : Readings
        Corrected readings, sorted by board; those after today are left out.
    boards : Boards
        The boards, by stack; none stacked after today.
    air : AirCourses
        Normal air of all places, from before the first stacking to five years from today.
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
    days = outlook_days(float(boards.stays.first_day.min()), today)
    ahead = look_ahead(findings.posterior, days, today)
    outlook = _average_outlook(Averages(findings, len(boards)), ahead)
    gathered = _gather(boards, known, findings, outlook, today)
    verdicts = [_verdict(gathered, n) for n in range(len(boards))]
    return Judgement(verdicts, findings, outlook, felt)
