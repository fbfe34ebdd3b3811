"""When a board reaches its target or levels off, with a range."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import ndtr

from webapp.drying import curve
from webapp.drying.weather import ANOMALY_SD_PCT, KNOT_DAYS

if TYPE_CHECKING:
    from webapp.drying.arrays import Array
    from webapp.drying.fit import Posterior


LEVEL_PCT = 0.75
HORIZON_DAYS = 5 * 365.25
EARLY, MIDDLE, LATE = 0.1, 0.5, 0.9
# Five-point Gauss-Hermite rule for the rate, which bends everything that lies ahead.
NODES, NODE_WEIGHTS = np.polynomial.hermite_e.hermegauss(5)
NODE_WEIGHTS = NODE_WEIGHTS / NODE_WEIGHTS.sum()
LEAST_SD_PCT = 0.05
MOST_CORRECTION = 20.0


@dataclass(frozen=True)
class Outlook:
    """Chance that each board has reached its goal by each day, and the moisture on the way.

    ``days`` [D]; ``chance`` [boards, D]; ``mean_pct`` and ``sd_pct`` [boards, D].
    """

    days: Array
    chance: Array
    mean_pct: Array
    sd_pct: Array


def outlook_days(first_day: float, today: float) -> Array:
    """Days worth a look: two weeks apart until today, then ten days, then a month."""
    past = np.arange(first_day, today, 14.0)
    near = np.arange(today, today + 550.0, 10.0)
    far = np.arange(near[-1] + 30.0, today + HORIZON_DAYS, 30.0)
    return np.concatenate([past, near, far])


def _weather_sd(log_rate: Array, ahead: Array) -> Array:
    """What coming weather adds to the spread [boards, days].

    A board averages the weather over the time that it takes to answer, so that quick
    boards swing with the months and slow ones hardly at all.
    """
    rate = np.exp(log_rate)[:, None]
    answered = rate * KNOT_DAYS / (1.0 + rate * KNOT_DAYS)
    grown = 1.0 - np.exp(-2.0 * np.maximum(ahead, 0.0)[None, :] * (rate + 1.0 / KNOT_DAYS))
    return np.asarray(ANOMALY_SD_PCT * np.sqrt(answered * grown))


def _nodes(posterior: Posterior) -> tuple[Array, Array, Array]:
    """How all parameters follow when a board's rate is off by one sd.

    Returns the shift of each board's eight parameters [boards, 8], their covariance once
    the rate is known [boards, 8, 8], and the boards' log rates [boards].
    """
    covariance = posterior.covariance()
    rate = [curve.OWN_RATE, curve.MEMBER_PARAMETERS + curve.RATE]
    with_rate = covariance[:, :, rate].sum(axis=2)
    sd = np.sqrt(np.maximum(with_rate[:, rate].sum(axis=1), 1e-12))
    shift = with_rate / sd[:, None]
    mode, stack = posterior.mode, posterior.curve.boards.stack
    log_rate = mode.member[:, curve.OWN_RATE] + mode.group[stack, curve.RATE]
    return shift, covariance - shift[:, :, None] * shift[:, None, :], log_rate


def _spread(posterior: Posterior, known: Array, days: Array, *, of_excess: bool) -> Array:
    """Standard deviation of moisture (or of excess) with the rate known [boards, days]."""
    drying, mode, boards = posterior.curve, posterior.mode, len(posterior.curve.boards)
    rows, day = np.repeat(np.arange(boards), len(days)), np.tile(days, boards)
    _, slopes = drying.moisture(mode.member, mode.group, rows, day)
    if of_excess:
        slopes = slopes - drying.untroubled_path(mode.member, mode.group, rows, day)[1]
    slopes = slopes.reshape(boards, len(days), -1)
    variance = np.einsum("bdi,bij,bdj->bd", slopes, known, slopes, optimize=True)
    return np.asarray(np.sqrt(np.maximum(variance, 0.0)))


class _Shifted:
    """Boards as stacks of one, so that each can follow its own rate."""

    def __init__(self, posterior: Posterior) -> None:
        self.drying = posterior.curve.apart()
        stack = posterior.curve.boards.stack
        self.member, self.group = posterior.mode.member, posterior.mode.group[stack]

    def parameters(self, shift: Array) -> tuple[Array, Array]:
        """The parameters shifted [boards, 8]."""
        member = self.member + shift[:, : curve.MEMBER_PARAMETERS]
        return member, self.group + shift[:, curve.MEMBER_PARAMETERS :]

    def at(self, shift: Array, days: Array) -> tuple[Array, Array]:
        """Moisture and path [boards, days] with the parameters shifted [boards, 8]."""
        member, group = self.parameters(shift)
        moisture = self.drying.moisture_on(member, group, days)
        rows = np.repeat(np.arange(len(member)), len(days))
        path, _ = self.drying.untroubled_path(member, group, rows, np.tile(days, len(member)))
        return moisture, path.reshape(moisture.shape)


class _ReadAgain:
    """The readings, asked what they say of parameters off the best ones."""

    def __init__(self, posterior: Posterior, apart: _Shifted) -> None:
        self.apart, self.error = apart, posterior.error
        self.readings = posterior.error.readings
        seen, self.slopes = apart.drying.moisture(
            apart.member, apart.group, self.readings.board, self.readings.day
        )
        self.cost = self.error(seen)

    def correction(self, shift: Array) -> Array:
        """What a board's readings say of a shift beyond their normal approximation [boards].

        An over-range display does not care how wet a board is, but rules out that it is
        dry; no curvature at the best parameters tells that.
        """
        readings, boards = self.readings, len(self.apart.member)
        if len(readings) == 0:
            return np.ones(boards)
        member, group = self.apart.parameters(shift)
        moisture, _ = self.apart.drying.moisture(member, group, readings.board, readings.day)
        moved = (self.slopes * shift[readings.board]).sum(axis=1)
        normal = self.cost.slope * moved + 0.5 * self.cost.curvature * moved**2
        beyond = self.error(moisture).cost - self.cost.cost - normal
        total = np.bincount(readings.board, beyond, boards)
        return np.asarray(np.exp(-np.clip(total, -MOST_CORRECTION, MOST_CORRECTION)))


def node_weights(posterior: Posterior) -> Array:
    """How much each rate that `look_ahead` follows counts for each board.

    Parameters
    ----------
    posterior : Posterior
        A fit.

    Returns
    -------
    array [nodes, boards]
        Sums to 1 for every board. Hangs on the past alone, so that one set serves all that
        may be supposed of what lies ahead.
    """
    shift, _, _ = _nodes(posterior)
    asked = _ReadAgain(posterior, _Shifted(posterior))
    weights = np.array([asked.correction(node * shift) for node in NODES])
    weights *= NODE_WEIGHTS[:, None]
    return np.asarray(weights / weights.sum(axis=0))


def look_ahead(
    posterior: Posterior, days: Array, today: float, weights: Array | None = None
) -> Outlook:
    """Chance of having reached the goal, day by day.

    Parameters
    ----------
    posterior : Posterior
        A fit; every board by itself, whatever its stack.
    days : array
        Days since 1970-01-01, rising.
    today : float
        After this day the weather is not known.
    weights : array [nodes, boards], optional
        Of `node_weights`, where they are at hand.

    Returns
    -------
    Outlook
        The goal of a board with a target is that moisture; of one without, to lie within
        0.75 point of where its place takes it.

    Notes
    -----
    The rate is integrated by five Gauss-Hermite nodes, on each of which all other
    parameters follow along their covariance and the board's own readings are asked again;
    the rest is normal on the day. Reached once
    is reached: chances never fall again.
    """
    boards = posterior.curve.boards
    shift, known, log_rate = _nodes(posterior)
    weather = _weather_sd(log_rate, days - today)
    spread = _spread(posterior, known, days, of_excess=False)
    sd = np.maximum(np.hypot(spread, weather), LEAST_SD_PCT)
    level_sd = np.maximum(_spread(posterior, known, days, of_excess=True), LEAST_SD_PCT)
    aimed = np.isfinite(boards.target_pct)
    apart = _Shifted(posterior)
    weights = node_weights(posterior) if weights is None else weights
    chance, mean, square = (np.zeros_like(sd) for _ in range(3))
    for node, weight in zip(NODES, weights[:, :, None], strict=True):
        moisture, path = apart.at(node * shift, days)
        reached = ndtr((boards.target_pct[:, None] - moisture) / sd)
        level = ndtr((LEVEL_PCT - (moisture - path)) / level_sd)
        chance += weight * np.where(aimed[:, None], reached, level)
        mean += weight * moisture
        square += weight * moisture**2
    lies = days[None, :] >= boards.stays.first_day[:, None]
    chance = np.maximum.accumulate(np.where(lies, chance, 0.0), axis=1)
    total = np.sqrt(np.maximum(square - mean**2, 0.0) + sd**2)
    return Outlook(days, chance, mean, total)


def crossing_days(days: Array, chance: Array, level: float) -> Array:
    """The first day on which a rising chance reaches a level, infinite if it never does.

    Parameters
    ----------
    days : array [D]
        Days, rising.
    chance : array [boards, D]
        Chances, rising along the days.
    level : float
        Between 0 and 1.

    Returns
    -------
    array [boards]
        Interpolated day; the first one where the chance begins above the level.
    """
    reached = chance >= level
    after = reached.argmax(axis=1)
    before = np.maximum(after - 1, 0)
    rows = np.arange(len(chance))
    low, high = chance[rows, before], chance[rows, after]
    share = np.where(high > low, (level - low) / np.where(high > low, high - low, 1.0), 1.0)
    day = days[before] + np.clip(share, 0.0, 1.0) * (days[after] - days[before])
    return np.where(reached.any(axis=1), day, np.inf)
