"""Which reason is given; that each can be said is tested with the wording."""

from __future__ import annotations

from dataclasses import replace

import pytest

from webapp.drying.reasons import SUREST, Facts, reason_for
from webapp.drying.suspicion import Kind
from webapp.drying.verdict import State

NAN = float("nan")
PLAIN = Facts(
    state=State.DRYING,
    probability=0.99,
    readings=8,
    last_pct=17.0,
    last_over=False,
    last_days=9.0,
    expected_pct=18.0,
    moisture_pct=18.0,
    low_pct=17.0,
    high_pct=19.0,
    excess_pct=5.0,
    equilibrium_pct=13.0,
    target_pct=NAN,
    in_sight=True,
    lowest_pct=12.5,
    fall_pct=3.0,
    expected_fall_pct=4.0,
    path_rise_pct=0.5,
    moves_on=20_000.0,
    trouble=Kind.NOTHING,
    since=NAN,
)


@pytest.mark.parametrize(
    ("changed", "code"),
    [
        ({}, "drying"),
        ({"excess_pct": 0.5}, "nearly_there"),
        ({"in_sight": False}, "drying_no_target_soon"),
        ({"in_sight": False, "target_pct": 9.0}, "drying_out_of_reach"),
        ({"in_sight": False, "target_pct": 14.0}, "drying_no_target_soon"),
        ({"state": State.LEVELLED_OFF}, "levelled_off"),
        ({"state": State.LEVELLED_OFF, "excess_pct": -2.0}, "drier_than_place"),
        ({"state": State.LEVELLED_OFF, "in_sight": False, "target_pct": 9.0}, "out_of_reach"),
        ({"state": State.STALLED, "trouble": Kind.AIR_BLOCKED}, "stalled_airflow"),
        ({"state": State.STALLED, "trouble": Kind.DAMP}, "stalled_damp"),
        ({"state": State.WET}, "wet"),
        ({"state": State.WET, "last_over": True}, "over_range"),
        ({"state": State.READ_AGAIN}, "doubtful"),
        ({"state": State.READ_AGAIN, "last_days": 300.0}, "long_unread"),
        ({"state": State.READ_AGAIN, "readings": 1}, "one_reading"),
        ({"state": State.READ_AGAIN, "readings": 0, "last_pct": NAN}, "no_reading"),
    ],
)
def test_the_reason_fits_the_facts(changed: dict[str, object], code: str) -> None:
    assert reason_for(replace(PLAIN, **changed))[0] == code  # type: ignore[arg-type]


def test_nothing_unanchored_is_said_as_certain() -> None:
    _, numbers = reason_for(replace(PLAIN, state=State.LEVELLED_OFF, probability=0.9999))
    assert numbers["probability"] == SUREST < 1


def test_a_loss_is_never_negative() -> None:
    _, numbers = reason_for(replace(PLAIN, fall_pct=-0.4))
    assert numbers["per_month_pct"] == 0
