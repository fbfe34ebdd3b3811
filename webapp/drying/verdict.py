"""What is said of one board on one day: a state, a date and the numbers behind them.

The numbers come from `judge` as plain arrays; this module holds the words and the order in
which they are tried. A state is only said at its own stated probability.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Mapping

    from webapp.drying.arrays import Array, Flags, Index


SURE = 0.9
LIKELY = 0.6
EVEN = 0.5
# A board loses less than this in sixty days: it is flat, as far as a keeper can see.
FLAT_FALL_PCT = 0.5
# It has more than this to lose: it is not flat because it is done.
MUCH_LEFT_PCT = 1.0
# A board not read for half a year may have met anything since.
STALE_DAYS = 182.0
# Fibre saturation by convention, less two points for the range over which woods differ.
WET_PCT = 28.0


class State(StrEnum):
    """The seven words for how a board stands, in the order in which they are tried."""

    GETTING_WETTER = "getting wetter"
    STALLED = "stalled"
    LEVELLED_OFF = "levelled off"
    SLOW_SEASON = "slow season"
    WET = "wet"
    DRYING = "drying"
    READ_AGAIN = "read again"


class Fit(StrEnum):
    """Whether a board is dry enough for its target."""

    YES = "yes"
    NO = "no"
    UNKNOWN = "unknown"


@dataclass(frozen=True)
class Verdict:
    """One board on one day.

    Moisture is the mean of the board in percent of oven-dry mass; days are floats counted
    from 1970-01-01, NaN where there is none. ``ready_to`` may be infinite: open-ended.
    """

    state: State
    probability: float
    moisture_pct: float
    moisture_low: float
    moisture_high: float
    excess_pct: float
    equilibrium_pct: float
    fit: Fit
    ready_on: float
    ready_from: float
    ready_to: float
    reason: str
    numbers: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Chances:
    """How likely each thing is that could be said of a board [boards].

    ``getting_wetter``, ``stalled``, ``levelled_off`` and ``wet`` are probabilities;
    ``more_to_lose`` the probability that the board is not yet level; ``excess_pct`` and
    ``fall_pct`` what it still has to lose and what it lost in the last sixty days;
    ``readings`` how many it has, ``numbers`` how many of them are not over or under range;
    ``unread_days`` how long ago the last was, infinite where there is none; ``doubtful``
    whether that one is far off everything else.
    """

    getting_wetter: Array
    stalled: Array
    levelled_off: Array
    wet: Array
    more_to_lose: Array
    excess_pct: Array
    fall_pct: Array
    readings: Index
    numbers: Index
    unread_days: Array
    doubtful: Flags


def states_of(chances: Chances) -> tuple[list[State], Array]:
    """The state of every board, and the probability it is said with.

    Parameters
    ----------
    chances : Chances
        What is known of each board.

    Returns
    -------
    list of State, array
        The first state in order that holds; ``READ_AGAIN`` when the readings are too few or
        doubtful, or none holds.
    """
    c = chances
    unread = (c.unread_days > STALE_DAYS) | ((c.readings == 1) & (c.numbers == 1)) | c.doubtful
    flat = (c.fall_pct < FLAT_FALL_PCT) & (c.excess_pct > MUCH_LEFT_PCT)
    tried: list[tuple[State, Flags, Array]] = [
        (State.READ_AGAIN, unread, np.ones(len(unread))),
        (State.GETTING_WETTER, c.getting_wetter >= LIKELY, c.getting_wetter),
        (State.STALLED, c.stalled >= LIKELY, c.stalled),
        (State.LEVELLED_OFF, c.levelled_off >= SURE, c.levelled_off),
        (State.WET, c.wet >= EVEN, c.wet),
        (State.SLOW_SEASON, flat & (c.more_to_lose >= EVEN), c.more_to_lose),
        (State.DRYING, c.levelled_off < SURE, c.more_to_lose),
    ]
    which = np.select([holds for _, holds, _ in tried], list(range(len(tried))), 0)
    probability = np.choose(which, [p for _, _, p in tried])
    # An average over courses of events may pass 1 by a rounding.
    return [tried[n][0] for n in which], np.clip(probability, 0.0, 1.0)


def fit_for(chance: float, state: State) -> Fit:
    """Whether a board may be called fit: at nine in ten, and never while it is to be read.

    ``chance`` is the probability that it is at its target or drier; without a target, that it
    has levelled off, as dry as its place makes it.
    """
    if state is State.READ_AGAIN:
        return Fit.UNKNOWN
    if chance >= SURE:
        return Fit.YES
    return Fit.NO if chance <= 1.0 - SURE else Fit.UNKNOWN
