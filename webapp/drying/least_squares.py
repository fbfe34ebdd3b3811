"""Damped Gauss-Newton for many small problems at once, some parameters shared in groups.

Rows (observations) belong to members (boards) and members belong to groups (stacks). Each
member has its own few parameters and each group has a few that its members share. The
normal matrix of a group is then an arrowhead: the members' blocks are eliminated first
(Schur complement), so that the work grows with the number of members only.

Model and prior are the caller's: the certified regressions of a standards body and the
drying of a yard go through the same code.

References
----------
.. [1] Marquardt, D. W. 1963. An algorithm for least-squares estimation of nonlinear
   parameters. J. Soc. Indust. Appl. Math. 11(2):431-441 (damping by the diagonal).
.. [2] More, J. J. 1978. The Levenberg-Marquardt algorithm: implementation and theory.
   Lecture Notes in Mathematics 630:105-116 (scaling by the curvature met).
.. [3] Rasmussen, C. E. and Williams, C. K. I. 2006. Gaussian Processes for Machine Learning,
   sec. 3.4 (Laplace approximation, evidence from the curvature at the mode).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.intp]

FIRST_DAMPING = 1e-3
MOST_DAMPING = 1e12
MEMORY_OF_SCALE = 0.6


class Evaluation(NamedTuple):
    """What a model says of all rows at one set of parameters.

    ``cost`` [rows] is the negative log-likelihood up to a constant, ``slope`` its derivative
    by the predicted value, ``curvature`` (never negative) its expected second derivative;
    ``by_member`` [rows, L] and ``by_group`` [rows, S] are the derivatives of the prediction.
    """

    cost: Array
    slope: Array
    curvature: Array
    by_member: Array
    by_group: Array


Model = Callable[[Array, Array], Evaluation]


@dataclass(frozen=True)
class Grouping:
    """Which member each row and which group each member belongs to."""

    member_of_row: Index
    group_of_member: Index
    groups: int

    @property
    def members(self) -> int:
        """How many members there are."""
        return len(self.group_of_member)

    @property
    def group_of_row(self) -> Index:
        """The group that each row belongs to."""
        return self.group_of_member[self.member_of_row]


@dataclass(frozen=True)
class Prior:
    """Independent normal priors; a precision of zero leaves a parameter free.

    ``member_mean``, ``member_precision`` are [members, L]; ``group_mean`` and
    ``group_precision`` are [groups, S].
    """

    member_mean: Array
    member_precision: Array
    group_mean: Array
    group_precision: Array


@dataclass(frozen=True)
class Mode:
    """The best parameters of every group and how sharply they are known.

    ``cost`` [groups] is the negative log posterior there; ``log_det`` [groups] the log
    determinant of its curvature; ``cov_*`` the blocks of the inverse curvature: members'
    own [members, L, L], group [groups, S, S], and between [members, L, S].
    """

    member: Array
    group: Array
    cost: Array
    log_det: Array
    cov_member: Array
    cov_group: Array
    cov_between: Array
    converged: NDArray[np.bool_]
    steps: int


class _Curvature(NamedTuple):
    """The blocks of the normal matrix with the gradients beside them."""

    member: Array
    between: Array
    group: Array
    member_gradient: Array
    group_gradient: Array


def _sum_by(index: Index, values: Array, count: int) -> Array:
    """Sum rows of ``values`` [rows, ...] that share an index."""
    flat = values.reshape(len(values), math.prod(values.shape[1:]))
    sums = np.empty((count, flat.shape[1]))
    for column in range(flat.shape[1]):
        sums[:, column] = np.bincount(index, flat[:, column], count)
    return sums.reshape((count, *values.shape[1:]))


def _total_cost(
    grouping: Grouping, prior: Prior, member: Array, group: Array, cost: Array
) -> Array:
    """Negative log posterior of each group [groups]."""
    own = 0.5 * (prior.member_precision * (member - prior.member_mean) ** 2).sum(axis=1)
    own += np.bincount(grouping.member_of_row, cost, grouping.members)
    shared = 0.5 * (prior.group_precision * (group - prior.group_mean) ** 2).sum(axis=1)
    return shared + np.bincount(grouping.group_of_member, own, grouping.groups)


def _curvature(
    grouping: Grouping, prior: Prior, member: Array, group: Array, seen: Evaluation
) -> _Curvature:
    """Gauss-Newton blocks of the negative log posterior."""
    rows, members = grouping.member_of_row, grouping.members
    weighted_member = seen.by_member * seen.curvature[:, None]
    weighted_group = seen.by_group * seen.curvature[:, None]
    own = _sum_by(rows, weighted_member[:, :, None] * seen.by_member[:, None, :], members)
    between = _sum_by(rows, weighted_member[:, :, None] * seen.by_group[:, None, :], members)
    shared = _sum_by(
        grouping.group_of_row,
        weighted_group[:, :, None] * seen.by_group[:, None, :],
        grouping.groups,
    )
    own_gradient = _sum_by(rows, seen.by_member * seen.slope[:, None], members)
    shared_gradient = _sum_by(
        grouping.group_of_row, seen.by_group * seen.slope[:, None], grouping.groups
    )
    own_gradient += prior.member_precision * (member - prior.member_mean)
    shared_gradient += prior.group_precision * (group - prior.group_mean)
    diagonal = np.arange(own.shape[1])
    own[:, diagonal, diagonal] += prior.member_precision
    diagonal = np.arange(shared.shape[1])
    shared[:, diagonal, diagonal] += prior.group_precision
    return _Curvature(own, between, shared, own_gradient, shared_gradient)


def _diagonal(block: Array) -> Array:
    """The diagonals of a stack of square matrices."""
    return np.einsum("bii->bi", block)


def _with_damping(block: Array, scale: Array, damping: Array) -> Array:
    """Raise the diagonal by the share ``damping`` of its scale."""
    damped = block.copy()
    diagonal = np.arange(block.shape[1])
    damped[:, diagonal, diagonal] += damping[:, None] * scale
    return damped


def _schur(grouping: Grouping, own: Array, between: Array, shared: Array) -> tuple[Array, Array]:
    """Eliminate the members: their solved couplings and what is left of the group blocks."""
    coupling = np.linalg.solve(own, between)
    eaten = np.einsum("bls,blt->bst", between, coupling)
    return coupling, shared - _sum_by(grouping.group_of_member, eaten, grouping.groups)


def _step(
    grouping: Grouping, blocks: _Curvature, scales: tuple[Array, Array], damping: Array
) -> tuple[Array, Array]:
    """One damped step for every member and group."""
    own = _with_damping(blocks.member, scales[0], damping[grouping.group_of_member])
    shared = _with_damping(blocks.group, scales[1], damping)
    coupling, left = _schur(grouping, own, blocks.between, shared)
    eaten = np.einsum("bls,bl->bs", coupling, blocks.member_gradient)
    gradient = blocks.group_gradient - _sum_by(grouping.group_of_member, eaten, grouping.groups)
    group_step = -np.linalg.solve(left, gradient[:, :, None])[:, :, 0]
    alone = np.linalg.solve(own, blocks.member_gradient[:, :, None])[:, :, 0]
    shift = np.einsum("bls,bs->bl", coupling, group_step[grouping.group_of_member])
    return -alone - shift, group_step


def _small(step: Array, values: Array, tolerance: float) -> NDArray[np.bool_]:
    """Whether every entry of a step is negligible beside its value."""
    return np.asarray((np.abs(step) <= tolerance * (np.abs(values) + tolerance)).all(axis=1))


def _covariances(grouping: Grouping, blocks: _Curvature) -> tuple[Array, Array, Array, Array]:
    """Inverse curvature by blocks, and the log determinant of the whole by group."""
    coupling, left = _schur(grouping, blocks.member, blocks.between, blocks.group)
    cov_group = np.linalg.inv(left)
    of_member = cov_group[grouping.group_of_member]
    cov_between = -np.einsum("bls,bst->blt", coupling, of_member)
    cov_member = np.linalg.inv(blocks.member) - np.einsum("bls,bms->blm", cov_between, coupling)
    own = np.linalg.slogdet(blocks.member)[1]
    log_det = np.linalg.slogdet(left)[1]
    log_det = log_det + np.bincount(grouping.group_of_member, own, grouping.groups)
    return cov_member, cov_group, cov_between, log_det


def find_mode(
    model: Model,
    grouping: Grouping,
    prior: Prior,
    start: tuple[Array, Array] | None = None,
    *,
    tolerance: float = 1e-4,
    first_damping: float = FIRST_DAMPING,
    most_steps: int = 40,
) -> Mode:
    """Maximum a posteriori of all groups at once, with their Laplace covariance.

    Parameters
    ----------
    model : callable
        Takes member parameters [members, L] and group parameters [groups, S], gives an
        `Evaluation` of all rows.
    grouping : Grouping
        Membership of rows and members.
    prior : Prior
        Normal priors; precision 0 where there is none. Parameters have any unit.
    start : pair of arrays, optional
        Where to begin; the prior means if not given.
    tolerance : float
        A group has converged when its step is this small relative to its parameters.
    first_damping : float
        Share of the curvature added at first: small near the answer, large far from it.
    most_steps : int
        Evaluations at the most; a group not converged by then says so.

    Returns
    -------
    Mode
        Parameters, covariance blocks, cost and log determinant by group.

    Raises
    ------
    numpy.linalg.LinAlgError
        If a parameter is neither measured nor held by a prior (singular curvature).

    Notes
    -----
    Levenberg-Marquardt [1]_ [2]_ with a damping for each group of its own: groups that improve
    relax towards Gauss-Newton, others shorten their step, none holds up the rest. The
    Laplace evidence of a group is ``-cost - log_det / 2`` up to a constant [3]_.
    """
    member, group = start if start is not None else (prior.member_mean, prior.group_mean)
    member, group = member.copy(), group.copy()
    seen = model(member, group)
    cost = _total_cost(grouping, prior, member, group, seen.cost)
    blocks = _curvature(grouping, prior, member, group, seen)
    damping = np.full(grouping.groups, first_damping)
    scales = _diagonal(blocks.member).copy(), _diagonal(blocks.group).copy()
    done = np.zeros(grouping.groups, dtype=bool)
    steps = 0
    while steps < most_steps and not done.all():
        steps += 1
        member_step, group_step = _step(grouping, blocks, scales, damping)
        member_step[done[grouping.group_of_member]] = 0.0
        group_step[done] = 0.0
        tried = member + member_step, group + group_step
        seen_there = model(*tried)
        cost_there = _total_cost(grouping, prior, *tried, seen_there.cost)
        better = cost_there <= cost
        small = _small(group_step, group, tolerance)
        wide = ~_small(member_step, member, tolerance)
        small &= np.bincount(grouping.group_of_member, wide, grouping.groups) == 0
        done |= small | (damping > MOST_DAMPING)
        take = better[grouping.group_of_member]
        member[take], group[better] = tried[0][take], tried[1][better]
        cost = np.where(better, cost_there, cost)
        damping = np.where(better, damping / 3.0, damping * 10.0)
        if not better.all():
            seen_there = model(member, group)
        blocks = _curvature(grouping, prior, member, group, seen_there)
        # A fading memory of the curvature met keeps a parameter in reach where the model has gone flat.
        scales = (
            np.maximum(MEMORY_OF_SCALE * scales[0], _diagonal(blocks.member)),
            np.maximum(MEMORY_OF_SCALE * scales[1], _diagonal(blocks.group)),
        )
    cov_member, cov_group, cov_between, log_det = _covariances(grouping, blocks)
    return Mode(
        member, group, cost, log_det, cov_member, cov_group, cov_between, done, steps
    )
