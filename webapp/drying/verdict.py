"""What is said of one board on one day: a state, a date and the numbers behind them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum


class State(StrEnum):
    """The seven words for how a board stands, worst news first where they could clash."""

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
