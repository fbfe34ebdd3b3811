"""What may be wrong with each stack, weighed: blocked air, damp, or a wetting.

All boards of a stack speak together. Each supposed trouble is fitted to a copy of its stack
and weighed by its evidence against "nothing wrong". Nothing is thrown away: every later
statement is an average over what may be the case.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from webapp.drying import curve
from webapp.drying.fit import Posterior, fit
from webapp.drying.priors import TroubleBelief
from webapp.drying.stacks import Changes, select_stacks
from webapp.drying.suspicion import (
    BELIEFS,
    Kind,
    Suspicion,
    closer_look,
    first_look,
    since_ended,
)

if TYPE_CHECKING:
    from webapp.drying.air import AirCourses
    from webapp.drying.arrays import Array, Index
    from webapp.drying.priors import YardEffect
    from webapp.drying.stacks import Boards, Readings, Selection

# Steps of the fit that suffice to rank suppositions, at first and when looked at closer.
GLANCE, LOOK = 6, 10
LEAST_WEIGHT = 0.02


@dataclass(frozen=True)
class Findings:
    """All courses of events worth keeping, with their fits and weights.

    The fit's stacks are the suspicions, in order; ``weight`` [suspicions] sums to 1 for
    each stack; the sources tell which reading, board and stack each one of the fit is a copy
    of.
    """

    suspicions: tuple[Suspicion, ...]
    posterior: Posterior
    weight: Array
    reading_source: Index
    board_source: Index
    stack_source: Index

    @property
    def kind(self) -> Index:
        """The kind of each suspicion."""
        return np.array([s.kind for s in self.suspicions], dtype=np.intp)

    @property
    def weight_of_board(self) -> Array:
        """The weight of each board's copy [boards of the fit]."""
        return self.weight[self.posterior.curve.boards.stack]


@dataclass(frozen=True)
class _Case:
    """The stacks under suspicion, and the fit that supposes nothing wrong."""

    readings: Readings
    boards: Boards
    air: AirCourses
    effect: YardEffect
    nothing: Posterior

    def fitted(
        self, suspicions: list[Suspicion], steps: int | None = None
    ) -> tuple[Posterior, Selection]:
        """Fit one copy of its stack for every suspicion, each kind with its belief."""
        chosen = np.array([s.stack for s in suspicions], dtype=np.intp)
        copies = select_stacks(self.boards, self.readings, chosen)
        changes = Changes(
            np.array([s.from_day for s in suspicions]),
            np.array([s.until_day for s in suspicions]),
        )
        belief = _beliefs(suspicions)
        found = fit(
            copies.readings,
            copies.boards,
            self.air,
            self.effect.of(chosen),
            changes,
            belief,
            (self.nothing.mode.member[copies.board_source], self._start(chosen, changes, belief)),
            rough_steps=steps,
        )
        return found, copies

    def _start(self, chosen: Index, changes: Changes, belief: TroubleBelief) -> Array:
        """Where a fit of the stacks' shared parameters begins.

        From what is expected of the stack, not from a fit that has bent to hide the trouble.
        """
        troubled = np.isfinite(changes.from_day)[:, None]
        expected = self.nothing.prior.group_mean[chosen]
        group = np.where(troubled, expected, self.nothing.mode.group[chosen])
        group[:, curve.TROUBLE_RATE] = belief.rate
        group[:, curve.TROUBLE_OFFSET] = belief.offset_pct
        return group

    def log_odds(self, suspicions: list[Suspicion], steps: int) -> Array:
        """How much likelier each suspicion is than "nothing wrong", roughly."""
        found, _ = self.fitted(suspicions, steps)
        against = self.nothing.log_evidence[[s.stack for s in suspicions]]
        return np.asarray(found.log_evidence + [s.log_prior for s in suspicions] - against)


def _beliefs(suspicions: list[Suspicion]) -> TroubleBelief:
    """What the supposed troubles do, by suspicion."""
    each = [BELIEFS[s.kind] for s in suspicions]
    names = TroubleBelief.__annotations__
    return TroubleBelief(*(np.array([getattr(one, name) for one in each]) for name in names))


def weigh(
    readings: Readings, boards: Boards, air: AirCourses, effect: YardEffect, today: float
) -> Findings:
    """Fit all stacks with and without troubles and weigh the courses of events.

    Parameters
    ----------
    readings, boards, air, effect
        As for `fit`; readings up to today only.
    today : float
        Day from which one looks back.

    Returns
    -------
    Findings
        Every course of events with a weight of 2 % or more in its stack.
    """
    case = _Case(readings, boards, air, effect, fit(readings, boards, air, effect))
    everything = [
        Suspicion(stack, Kind.NOTHING, np.inf, np.inf, 0.0) for stack in range(boards.stacks)
    ]
    looked = first_look(boards, readings, today)
    closer = closer_look(looked, case.log_odds(looked, GLANCE), boards, readings) if looked else []
    if closer:
        ended = since_ended(closer, case.log_odds(closer, LOOK), boards, readings)
        everything += closer + ended
    weight = _weights(everything, case.fitted(everything, LOOK)[0], boards.stacks)
    kept = [s for s, w in zip(everything, weight, strict=True) if w >= LEAST_WEIGHT]
    found, copies = case.fitted(kept)
    weight = _weights(kept, found, boards.stacks)
    return Findings(
        tuple(kept),
        found,
        weight,
        copies.reading_source,
        copies.board_source,
        copies.stack_source,
    )


def _weights(suspicions: list[Suspicion], found: Posterior, stacks: int) -> Array:
    """Posterior probability of each course of events in its stack."""
    stack = np.array([s.stack for s in suspicions], dtype=np.intp)
    log_weight = found.log_evidence + np.array([s.log_prior for s in suspicions])
    top = np.full(stacks, -np.inf)
    np.maximum.at(top, stack, log_weight)
    weight = np.exp(log_weight - top[stack])
    return np.asarray(weight / np.bincount(stack, weight, stacks)[stack])
