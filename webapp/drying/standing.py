"""Where every board stands today, averaged over what may be wrong with its stack."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import ndtr

from webapp.drying import curve
from webapp.drying.curve import excess_after
from webapp.drying.forecast import LEVEL_PCT
from webapp.drying.suspicion import Kind
from webapp.drying.verdict import WET_PCT, Chances

if TYPE_CHECKING:
    from webapp.drying.arrays import Array, Flags, Index
    from webapp.drying.fit import Posterior
    from webapp.drying.stacks import Readings
    from webapp.drying.trouble import Findings


LOOK_BACK_DAYS = 60.0
SHORTEST_LOOK_DAYS = 20.0
# A trouble that ended less than this long ago still shows.
JUST_ENDED_DAYS = 20.0
WETTED_LATELY_DAYS = 45.0
RISE_PCT, MUCH_RISE_PCT = 0.5, 1.0
STILL_FALLING_PCT = 0.8
ABOVE_PCT = 1.0
DOUBTFUL_SD = 4.0
LEAST_SD_PCT = 1e-3
NEARLY_SURE = 0.9


@dataclass(frozen=True)
class Stand:
    """How each copy of a board stands today [boards of the fit].

    All in points of moisture: ``moisture`` and its sd; the ``path`` it would lie on had
    nothing been wrong; the ``excess`` over that and its sd; what it lost (``fall``) in the
    last sixty days, what it should have lost, and how far its path rose meanwhile.
    """

    moisture: Array
    moisture_sd: Array
    path: Array
    excess: Array
    excess_sd: Array
    fall: Array
    expected_fall: Array
    path_rise: Array


def _arrival(posterior: Posterior, today: float) -> Array:
    """The day since which each board has lain where it lies today."""
    segments = posterior.curve.segments
    other = np.diff(segments.place, axis=1, prepend=-1) != 0
    begun = other & (segments.from_day <= today)
    return np.asarray(np.where(begun, segments.from_day, -np.inf).max(axis=1))


def _untroubled_fall(
    posterior: Posterior, before: Array, path: Array, back: Array, until: Array
) -> Array:
    """What each board should have lost from ``back`` on had nothing held it up."""
    drying, mode = posterior.curve, posterior.mode
    rows = np.arange(len(before))
    segment = drying.segment_at(rows, until)
    place = drying.segments.place[rows, segment]
    moved = drying.segments.moved[rows, segment]
    shared = mode.group[drying.boards.stack]
    log_rate = shared[:, curve.RATE] + mode.member[:, curve.OWN_RATE]
    log_rate = log_rate + moved * shared[:, curve.MOVED_RATE]
    warm = drying.air.warm_days_until(place, until)
    warm = warm - drying.air.warm_days_until(place, back)
    left, _, _ = excess_after(before - path, np.exp(log_rate) * warm)
    return np.asarray(before - path - left)


def stand_today(posterior: Posterior, today: float) -> Stand:
    """Evaluate a fit today and sixty days ago, since the last move at the earliest.

    Within twenty days of a move the twenty days from it on are told instead.

    Parameters
    ----------
    posterior : Posterior
        A fit.
    today : float
        Days since 1970-01-01.

    Returns
    -------
    Stand
        One entry a board of the fit; losses are scaled to sixty days.
    """
    drying, mode = posterior.curve, posterior.mode
    rows = np.arange(len(drying.boards))
    now = np.full(len(rows), today)
    back = np.maximum(today - LOOK_BACK_DAYS, _arrival(posterior, today))
    back = np.minimum(back, today)
    # Days after a move nothing can have happened yet: what is about to happen stands for it.
    until = np.maximum(now, back + SHORTEST_LOOK_DAYS)
    moisture, slope = drying.moisture(mode.member, mode.group, rows, now)
    path, path_slope = drying.untroubled_path(mode.member, mode.group, rows, now)
    before, _ = drying.moisture(mode.member, mode.group, rows, back)
    path_before, _ = drying.untroubled_path(mode.member, mode.group, rows, back)
    after, _ = drying.moisture(mode.member, mode.group, rows, until)
    path_after, _ = drying.untroubled_path(mode.member, mode.group, rows, until)
    covariance = posterior.covariance()
    sd = np.sqrt(np.einsum("bi,bij,bj->b", slope, covariance, slope))
    apart = slope - path_slope
    apart_sd = np.sqrt(np.einsum("bi,bij,bj->b", apart, covariance, apart))
    share = LOOK_BACK_DAYS / (until - back)
    should = _untroubled_fall(posterior, before, path_before, back, until)
    return Stand(
        moisture=moisture,
        moisture_sd=np.maximum(sd, LEAST_SD_PCT),
        path=path,
        excess=moisture - path,
        excess_sd=np.maximum(apart_sd, LEAST_SD_PCT),
        fall=(before - after) * share,
        expected_fall=(should - (path_after - path_before)) * share,
        path_rise=(path_after - path_before) * share,
    )


def chance_below(excess: Array, sd: Array, limit: float) -> Array:
    """Probability that an excess is below a limit.

    Parameters
    ----------
    excess, sd : arrays
        Mean and standard deviation from the fit [points of moisture].
    limit : float
        Positive [points].

    Returns
    -------
    array
        Probability. What is still to lose decays, so that its logarithm is what the fit
        knows normally; an excess that is all but gone, or negative, is normal itself.
    """
    positive = np.maximum(excess, 1e-6)
    log_sd = np.sqrt(np.log1p((sd / positive) ** 2))
    by_log = ndtr((np.log(limit) - np.log(positive)) / np.maximum(log_sd, 1e-6))
    return np.where(excess > limit / 2.0, by_log, ndtr((limit - excess) / sd))


@dataclass(frozen=True)
class Averages:
    """Averages over the courses of events of each board's stack."""

    findings: Findings
    boards: int

    def of(self, values: Array) -> Array:
        """Average what each copy says to one value a board [boards]."""
        weighted = self.findings.weight_of_board * values
        return np.asarray(np.bincount(self.findings.board_source, weighted, self.boards), float)


def _trouble(findings: Findings, stand: Stand, today: float) -> tuple[Array, Array]:
    """Whether each copy is getting wetter, and whether something holds it up."""
    stack = findings.posterior.curve.boards.stack
    from_day = np.array([s.from_day for s in findings.suspicions])[stack]
    until_day = np.array([s.until_day for s in findings.suspicions])[stack]
    kind = findings.kind[stack]
    begun = from_day <= today
    lasting = np.isin(kind, [Kind.AIR_BLOCKED, Kind.DAMP])
    lasting &= begun & (today < until_day + JUST_ENDED_DAYS)
    # Blocked air and damp stay behind when a stack moves.
    lasting &= _arrival(findings.posterior, today) <= from_day
    wetted = (kind == Kind.WETTED) & begun & (today < until_day + WETTED_LATELY_DAYS)
    risen = -stand.fall - np.maximum(stand.path_rise, 0.0)
    wetter = (wetted & (risen > -RISE_PCT)) | (lasting & (risen > MUCH_RISE_PCT))
    held = lasting & (stand.fall < STILL_FALLING_PCT) & ~wetter
    return wetter.astype(float), held.astype(float)


def last_rows(readings: Readings, boards: int) -> Index:
    """The row of each board's last reading, -1 where it has none [boards]."""
    order = np.lexsort((readings.day, readings.board))
    last = np.full(boards, -1)
    last[readings.board[order]] = order
    return last


def _doubtful(averages: Averages) -> Flags:
    """Whether a board's last reading is far off under every course of events."""
    posterior = averages.findings.posterior
    copied = posterior.error.readings
    away = np.abs(posterior.error.surprise(posterior.fitted_pct()))
    last = last_rows(copied, len(posterior.curve.boards))
    doubt = np.zeros(len(last))
    doubt[last >= 0] = away[last[last >= 0]] > DOUBTFUL_SD
    return np.asarray(averages.of(doubt) > NEARLY_SURE)


def last_read_on(readings: Readings, boards: int) -> Array:
    """The day of each board's last reading, minus infinity where it has none [boards]."""
    day = np.full(boards, -np.inf)
    np.maximum.at(day, readings.board, readings.day)
    return day


def chances_today(averages: Averages, stand: Stand, readings: Readings, today: float) -> Chances:
    """Probabilities of everything that could be said of each board.

    Parameters
    ----------
    averages : Averages
        Weighs the courses of events.
    stand : Stand
        How each copy stands.
    readings : Readings
        The boards' readings, none after today.
    today : float
        Days since 1970-01-01.

    Returns
    -------
    Chances
        One entry a board.
    """
    wetter, held = _trouble(averages.findings, stand, today)
    level = chance_below(stand.excess, stand.excess_sd, LEVEL_PCT)
    number = ~(readings.over | readings.under)
    return Chances(
        getting_wetter=averages.of(wetter),
        stalled=averages.of(held * (1.0 - chance_below(stand.excess, stand.excess_sd, ABOVE_PCT))),
        levelled_off=averages.of(level),
        wet=averages.of(ndtr((stand.moisture - WET_PCT) / stand.moisture_sd)),
        more_to_lose=averages.of(1.0 - level),
        excess_pct=averages.of(stand.excess),
        fall_pct=averages.of(stand.fall),
        readings=np.bincount(readings.board, minlength=averages.boards),
        numbers=np.bincount(readings.board, number, averages.boards).astype(np.intp),
        unread_days=today - last_read_on(readings, averages.boards),
        doubtful=_doubtful(averages),
    )
