"""Readings to parameters: the fit of all stacks at once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from webapp.drying import curve
from webapp.drying.curve import DryingCurve
from webapp.drying.least_squares import Evaluation, Grouping, Mode, Model, Prior, find_mode
from webapp.drying.priors import NO_TROUBLE, TroubleBelief, YardEffect, prior_of
from webapp.drying.reading_error import ReadingError
from webapp.drying.stacks import Boards, Changes, Readings

if TYPE_CHECKING:
    from webapp.drying.air import AirCourses
    from webapp.drying.arrays import Array


MODEL_VERSION = "1"
# Of negative log posterior: far below what would change a statement.
PRECISION, ROUGH_PRECISION = 1e-3, 1e-2
MOST_STEPS = 20


@dataclass(frozen=True)
class Posterior:
    """What the readings say about all boards.

    ``curve`` gives moisture for any parameters; ``mode`` the best ones with their
    covariance; ``error`` the readings with the spread used; ``prior`` what was believed.
    """

    curve: DryingCurve
    mode: Mode
    error: ReadingError
    prior: Prior

    @property
    def log_evidence(self) -> Array:
        """Logarithm of the probability of each stack's readings [stacks], up to a constant."""
        widths = 0.5 * np.log(self.prior.group_precision).sum(axis=1)
        return np.asarray(widths - self.mode.cost - 0.5 * self.mode.log_det)

    def covariance(self) -> Array:
        """Covariance [boards, 8, 8] of each board's two and its stack's six parameters."""
        mode, stack = self.mode, self.curve.boards.stack
        top = np.concatenate([mode.cov_member, mode.cov_between], axis=2)
        low = np.concatenate([mode.cov_between.transpose(0, 2, 1), mode.cov_group[stack]], axis=2)
        return np.concatenate([top, low], axis=1)

    def fitted_pct(self) -> Array:
        """Moisture of the board at every reading [percent]."""
        readings = self.error.readings
        return self.curve.moisture(self.mode.member, self.mode.group, readings.board, readings.day)[
            0
        ]


def _model(drying: DryingCurve, error: ReadingError) -> Model:
    """Curve and reading error joined for the stepper."""
    rows, day = error.readings.board, error.readings.day

    def evaluate(member: Array, group: Array) -> Evaluation:
        moisture, slopes = drying.moisture(member, group, rows, day)
        cost = error(moisture)
        by_member = slopes[:, : curve.MEMBER_PARAMETERS]
        return Evaluation(*cost, by_member, slopes[:, curve.MEMBER_PARAMETERS :])

    return evaluate


def fit(
    readings: Readings,
    boards: Boards,
    air: AirCourses,
    effect: YardEffect,
    changes: Changes | None = None,
    belief: TroubleBelief = NO_TROUBLE,
    start: tuple[Array, Array] | None = None,
    *,
    rough_steps: int | None = None,
) -> Posterior:
    """Fit all stacks to their readings.

    Parameters
    ----------
    readings : Readings
        Corrected readings up to the day from which one looks back.
    boards : Boards
        Boards by stack, with their stays.
    air : AirCourses
        Air and paths of all places.
    effect : YardEffect
        What the yard's stacks have in common, held fixed here.
    changes, belief : Changes, TroubleBelief
        A trouble supposed in each stack, and what such a trouble does.
    start : pair of arrays, optional
        Parameters to begin from.
    rough_steps : int, optional
        Stop after so many steps, or when nearly there: enough to rank suppositions.

    Returns
    -------
    Posterior
        Maximum a posteriori with Laplace covariance. Boards without a reading keep their
        prior, informed by their stack.
    """
    drying = DryingCurve(boards, air, changes or Changes.none(boards.stacks))
    grouping = Grouping(readings.board, boards.stack, boards.stacks)
    prior = prior_of(boards, effect, belief)
    error = ReadingError(readings)
    first = find_mode(
        _model(drying, error),
        grouping,
        prior,
        start,
        precision=ROUGH_PRECISION,
        most_steps=rough_steps or MOST_STEPS,
    )
    if rough_steps is not None:
        return Posterior(drying, first, error, prior)
    at = first.member, first.group
    error = error.at_moisture(drying.moisture(*at, readings.board, readings.day)[0])
    mode = find_mode(_model(drying, error), grouping, prior, at, precision=PRECISION)
    return Posterior(drying, mode, error, prior)
