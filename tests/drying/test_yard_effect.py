from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from tests.drying.made_yard import boards_of, courses, day, readings_of, temperate
from webapp.drying.background import background_of
from webapp.drying.fit import fit
from webapp.drying.priors import YardEffect
from webapp.drying.yard_effect import yard_effect

if TYPE_CHECKING:
    from webapp.drying.air import AirCourses
    from webapp.drying.stacks import Boards, Readings

STACKED, STACKS = day("2022-04-01"), 8
TODAY = STACKED + 700


def _read(offsets: np.ndarray, seed: int = 3) -> tuple[Readings, Boards, AirCourses]:
    """Dry stacks whose meter shows each so much off what their place makes of wood."""
    rng = np.random.default_rng(seed)
    air = courses([temperate()], STACKED, TODAY)
    boards = boards_of([3] * len(offsets), stacked=STACKED)
    rows = []
    days = STACKED + np.arange(20, 700, 30)
    for board in range(len(boards)):
        path, _ = air.path(np.zeros(len(days), dtype=np.intp), days, np.full(len(days), -3.3))
        wet = 65 * np.exp(
            -np.exp(-3.3)
            * (
                air.warm_days_until(np.zeros(1, dtype=np.intp), days)
                - air.warm_days_until(np.zeros(1, dtype=np.intp), days[:1] - 20)
            )
        )
        shown = path + wet + offsets[boards.stack[board]] + rng.normal(0, 0.5, len(days))
        rows += [(board, when, value) for when, value in zip(days, shown, strict=True)]
    return readings_of(rows), boards, air


def test_a_meter_that_reads_high_is_told_by_the_other_stacks() -> None:
    readings, boards, air = _read(np.full(STACKS, 1.2))
    posterior = fit(readings, boards, air, YardEffect.unknown(STACKS))
    effect = yard_effect(posterior, np.ones((STACKS, 1)))
    np.testing.assert_allclose(effect.offset_pct, 1.2, atol=0.35)
    assert (effect.offset_sd_pct < 0.45).all()


def test_a_stack_is_no_evidence_about_itself() -> None:
    offsets = np.zeros(STACKS)
    offsets[2] = 5.0
    readings, boards, air = _read(offsets)
    posterior = fit(readings, boards, air, YardEffect.unknown(STACKS))
    effect = yard_effect(posterior, np.ones((STACKS, 1)))
    # The odd one pulls the others a little, and does not hear itself.
    assert abs(effect.offset_pct[2]) < 0.3
    assert (np.abs(effect.offset_pct) < 0.6).all()


def test_two_places_are_told_apart() -> None:
    offsets = np.repeat([1.5, -1.0], STACKS // 2)
    readings, boards, air = _read(offsets)
    posterior = fit(readings, boards, air, YardEffect.unknown(STACKS))
    causes = np.zeros((STACKS, 2))
    causes[: STACKS // 2, 0] = causes[STACKS // 2 :, 1] = 1
    effect = yard_effect(posterior, causes)
    np.testing.assert_allclose(effect.offset_pct, offsets, atol=0.5)


def test_a_yard_of_one_stack_stays_unknown() -> None:
    readings, boards, air = _read(np.array([2.0]))
    effect = yard_effect(fit(readings, boards, air, YardEffect.unknown(1)), np.ones((1, 1)))
    assert effect.offset_pct[0] == 0
    assert effect.offset_sd_pct[0] > 0.7


def test_a_yard_without_readings_has_a_background_too() -> None:
    boards = boards_of([2, 2], stacked=STACKED)
    air = courses([temperate()], STACKED, TODAY)
    found = background_of(readings_of([]), boards, air, np.ones((2, 1)), TODAY)
    np.testing.assert_array_equal(found.effect.offset_pct, 0)
    np.testing.assert_array_equal(found.weather.anomaly_pct, 0)
