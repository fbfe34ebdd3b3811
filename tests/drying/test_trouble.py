from __future__ import annotations

import numpy as np
import pytest

from tests.drying.made_yard import boards_of, courses, day, readings_of, temperate
from webapp.drying import curve
from webapp.drying.curve import DryingCurve
from webapp.drying.priors import YardEffect
from webapp.drying.stacks import Boards, Changes
from webapp.drying.suspicion import Kind
from webapp.drying.trouble import Findings, weigh

STACKED = day("2023-03-20")
TODAY = STACKED + 330.0
AIR = courses([temperate()], STACKED, TODAY)
BOARDS = boards_of([6, 6, 6], stacked=STACKED)


def _found(boards: Boards, begin: float, end: float, rate: float, offset: float) -> Findings:
    """Three stacks, the second of which meets a trouble; read every month with scatter."""
    rng = np.random.default_rng(21)
    never = np.inf
    changes = Changes(np.array([never, begin, never]), np.array([never, end, never]))
    drying = DryingCurve(boards, AIR, changes)
    member = np.column_stack([rng.normal(4.2, 0.15, 18), rng.normal(0, 0.15, 18)])
    group = np.zeros((3, curve.GROUP_PARAMETERS))
    group[:, curve.RATE] = -3.4
    group[1, curve.TROUBLE_RATE], group[1, curve.TROUBLE_OFFSET] = rate, offset
    days = STACKED + np.arange(20, 331, 30)
    moisture = drying.moisture_on(member, group, days)
    moisture += rng.normal(0, 0.6, moisture.shape)
    rows = [(b, d, moisture[b, n]) for b in range(18) for n, d in enumerate(days)]
    return weigh(readings_of(rows), boards, AIR, YardEffect.unknown(3), TODAY)


def _weight(findings: Findings, stack: int, *kinds: Kind) -> float:
    pairs = zip(findings.suspicions, findings.weight, strict=True)
    return float(sum(w for s, w in pairs if s.stack == stack and s.kind in kinds))


@pytest.mark.parametrize(
    ("kind", "begin", "end", "rate", "offset"),
    [
        (Kind.AIR_BLOCKED, 75.0, np.inf, -3.0, 0.0),
        (Kind.DAMP, 120.0, np.inf, 0.0, 5.0),
        (Kind.WETTED, 200.0, 228.0, 0.0, 18.0),
    ],
)
def test_a_trouble_is_found_named_and_dated_and_sound_stacks_are_left_alone(
    kind: Kind, begin: float, end: float, rate: float, offset: float
) -> None:
    found = _found(BOARDS, STACKED + begin, STACKED + end, rate, offset)
    assert _weight(found, 1, kind) > 0.5
    mine = [(w, s) for w, s in zip(found.weight, found.suspicions, strict=True) if s.stack == 1]
    likeliest = max(mine, key=lambda pair: pair[0])[1]
    # Damp only shows once a board has come down to it, so it may be dated too early.
    assert likeliest.from_day < STACKED + begin + 62
    if kind is not Kind.DAMP:
        assert likeliest.from_day > STACKED + begin - 62
    for sound in (0, 2):
        assert _weight(found, sound, Kind.NOTHING) > 0.6


def test_the_end_of_a_trouble_is_seen() -> None:
    found = _found(BOARDS, STACKED + 60, STACKED + 180, -3.5, 0.0)
    still = [
        weight
        for suspicion, weight in zip(found.suspicions, found.weight, strict=True)
        if suspicion.stack == 1
        and suspicion.kind is not Kind.NOTHING
        and suspicion.until_day > TODAY
    ]
    assert sum(still) < 0.5


def test_weights_sum_to_one_and_copies_name_their_sources() -> None:
    found = _found(BOARDS, STACKED + 75, np.inf, -3.0, 0.0)
    stacks = np.array([s.stack for s in found.suspicions])
    np.testing.assert_allclose(np.bincount(stacks, found.weight), 1.0)
    np.testing.assert_array_equal(found.stack_source, stacks)
    copies = found.posterior.curve.boards
    np.testing.assert_array_equal(BOARDS.stack[found.board_source], stacks[copies.stack])
    np.testing.assert_array_equal(
        found.posterior.error.readings.day.size, found.reading_source.size
    )


def test_without_readings_nothing_is_suspected() -> None:
    found = weigh(readings_of([]), BOARDS, AIR, YardEffect.unknown(3), TODAY)
    assert {s.kind for s in found.suspicions} == {Kind.NOTHING}
    np.testing.assert_array_equal(found.weight, 1.0)


def test_displays_that_tell_nothing_leave_what_was_believed_before() -> None:
    """Troubles are rarer than none, and over range so soon after sawing says nothing of them."""
    early = STACKED + 45.0
    wet = readings_of([(b, STACKED + n, 60.0) for b in range(18) for n in (10, 40)])
    found = weigh(wet, BOARDS, AIR, YardEffect.unknown(3), early)
    for stack in range(3):
        assert _weight(found, stack, Kind.NOTHING) > 0.8
