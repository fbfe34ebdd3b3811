"""Why a board is said to be in its state: a code, and the numbers a sentence needs.

The sentences themselves are made at the face. All numbers are percent or points of
moisture, days since 1970-01-01 (``since``, ``moves_on``) or days gone by (``days``).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from webapp.drying.forecast import LEVEL_PCT
from webapp.drying.suspicion import Kind
from webapp.drying.verdict import STALE_DAYS, State

DRIER_BY_PCT = 1.0
# Without an anchor nobody can be surer: meter, weather station and species table may each be
# off by what no reading of the board itself can show.
SUREST = 0.95
MONTHS_LOOKED_BACK = 2.0

Reason = tuple[str, dict[str, float]]


@dataclass(frozen=True)
class Facts:
    """What is known of one board when its reason is chosen.

    ``last_pct`` and ``last_days`` tell the last reading and how long ago it was, NaN and
    ``last_over`` where it was over range; ``lowest_pct`` the lowest mean moisture in sight;
    ``trouble`` the likeliest trouble with ``since``; the rest as in `Verdict` and `Stand`.
    """

    state: State
    probability: float
    readings: int
    last_pct: float
    last_over: bool
    last_days: float
    expected_pct: float
    moisture_pct: float
    low_pct: float
    high_pct: float
    excess_pct: float
    equilibrium_pct: float
    target_pct: float
    in_sight: bool
    lowest_pct: float
    fall_pct: float
    expected_fall_pct: float
    path_rise_pct: float
    moves_on: float
    trouble: Kind
    since: float


def _read_again(f: Facts) -> Reason:
    if f.readings == 0:
        return "no_reading", {}
    if f.readings == 1 and not f.last_over and f.last_days <= STALE_DAYS:
        return "one_reading", {"last_pct": f.last_pct, "days": f.last_days}
    if f.last_days > STALE_DAYS:
        return "long_unread", {"last_pct": f.last_pct, "days": f.last_days}
    return "doubtful", {"last_pct": f.last_pct, "expected_pct": f.expected_pct}


def _getting_wetter(f: Facts) -> Reason:
    return "getting_wetter", {
        "since": f.since,
        "rise_pct": max(-f.fall_pct, 0.0),
        "expected_rise_pct": max(f.path_rise_pct, 0.0),
    }


def _stalled(f: Facts) -> Reason:
    code = "stalled_airflow" if f.trouble is Kind.AIR_BLOCKED else "stalled_damp"
    return code, {
        "since": f.since,
        "still_to_lose_pct": f.excess_pct,
        "expected_fall_pct": max(f.expected_fall_pct, 0.0),
        "seen_fall_pct": max(f.fall_pct, 0.0),
    }


def _levelled_off(f: Facts) -> Reason:
    here = {"moisture_pct": f.moisture_pct, "equilibrium_pct": f.equilibrium_pct}
    if f.excess_pct < -DRIER_BY_PCT:
        return "drier_than_place", here
    if _out_of_reach(f):
        return "out_of_reach", {"target_pct": f.target_pct, "lowest_pct": f.lowest_pct}
    return "levelled_off", here | {"probability": min(f.probability, SUREST)}


def _out_of_reach(f: Facts) -> bool:
    aimed = math.isfinite(f.target_pct) and not f.in_sight
    return aimed and f.lowest_pct > f.target_pct


def _slow_season(f: Facts) -> Reason:
    return "slow_season", {
        "moisture_pct": f.moisture_pct,
        "still_to_lose_pct": f.excess_pct,
        "moves_on": f.moves_on,
    }


def _wet(f: Facts) -> Reason:
    if f.last_over:
        return "over_range", {"limit_pct": f.last_pct, "days": f.last_days}
    return "wet", {"moisture_pct": f.moisture_pct}


def _drying(f: Facts) -> Reason:
    now = {"moisture_pct": f.moisture_pct}
    per_month = {"per_month_pct": max(f.fall_pct, 0.0) / MONTHS_LOOKED_BACK}
    if _out_of_reach(f):
        reach = {"target_pct": f.target_pct, "lowest_pct": f.lowest_pct}
        return "drying_out_of_reach", now | per_month | reach
    left = {"still_to_lose_pct": max(f.excess_pct, 0.0)}
    if f.excess_pct < LEVEL_PCT:
        return "nearly_there", now | left
    return "drying" if f.in_sight else "drying_no_target_soon", now | left | per_month


_REASON_OF = {
    State.READ_AGAIN: _read_again,
    State.GETTING_WETTER: _getting_wetter,
    State.STALLED: _stalled,
    State.LEVELLED_OFF: _levelled_off,
    State.SLOW_SEASON: _slow_season,
    State.WET: _wet,
    State.DRYING: _drying,
}


def reason_for(facts: Facts) -> Reason:
    """Choose the reason code of a board's state and gather its numbers.

    Parameters
    ----------
    facts : Facts
        One board on one day.

    Returns
    -------
    pair
        The code, and its numbers by name.
    """
    return _REASON_OF[facts.state](facts)
