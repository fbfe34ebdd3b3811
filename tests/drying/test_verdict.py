from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from webapp.drying.verdict import STALE_DAYS, Chances, Fit, State, fit_for, states_of


def _number(value: float) -> np.ndarray:
    return np.array([value])


PLAIN = Chances(
    getting_wetter=_number(0.0),
    stalled=_number(0.0),
    levelled_off=_number(0.0),
    wet=_number(0.0),
    more_to_lose=_number(1.0),
    excess_pct=_number(5.0),
    fall_pct=_number(3.0),
    readings=np.array([6]),
    numbers=np.array([6]),
    unread_days=_number(10.0),
    doubtful=np.array([False]),
)
FLAT = {"fall_pct": _number(0.1)}


@pytest.mark.parametrize(
    ("found", "state"),
    [
        ({}, State.DRYING),
        (FLAT, State.SLOW_SEASON),
        ({**FLAT, "excess_pct": _number(0.4), "levelled_off": _number(0.7)}, State.DRYING),
        ({"wet": _number(0.6)}, State.WET),
        ({**FLAT, "wet": _number(0.6)}, State.WET),
        ({"levelled_off": _number(0.91), "wet": _number(0.6)}, State.LEVELLED_OFF),
        ({"stalled": _number(0.7), "levelled_off": _number(0.95)}, State.STALLED),
        ({"stalled": _number(0.7), "getting_wetter": _number(0.7)}, State.GETTING_WETTER),
        ({"stalled": _number(0.5), **FLAT}, State.SLOW_SEASON),
        ({"doubtful": np.array([True]), "levelled_off": _number(0.99)}, State.READ_AGAIN),
        ({"unread_days": _number(np.inf)}, State.READ_AGAIN),
        ({"unread_days": _number(STALE_DAYS + 1)}, State.READ_AGAIN),
        ({"readings": np.array([1]), "numbers": np.array([1])}, State.READ_AGAIN),
        (
            {"readings": np.array([1]), "numbers": np.array([0]), "wet": _number(0.8)},
            State.WET,
        ),
    ],
)
def test_the_first_state_that_holds_is_said(found: dict[str, np.ndarray], state: State) -> None:
    states, probability = states_of(replace(PLAIN, **found))
    assert states == [state]
    assert 0 <= probability[0] <= 1


def test_a_rounding_makes_nothing_surer_than_certain() -> None:
    beyond = replace(PLAIN, levelled_off=_number(np.nextafter(1.0, 2.0)))
    assert states_of(beyond)[1][0] == 1


@pytest.mark.parametrize(
    ("chance", "state", "fit"),
    [
        (0.95, State.DRYING, Fit.YES),
        (0.95, State.SLOW_SEASON, Fit.YES),
        (0.5, State.DRYING, Fit.UNKNOWN),
        (0.05, State.LEVELLED_OFF, Fit.NO),
        (0.99, State.READ_AGAIN, Fit.UNKNOWN),
    ],
)
def test_fit_is_said_at_nine_in_ten_and_never_while_to_be_read(
    chance: float, state: State, fit: Fit
) -> None:
    assert fit_for(chance, state) is fit
