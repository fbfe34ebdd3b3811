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

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from webapp.drying.arrays import Array, Flags, Index

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
    converged: Flags
    steps: int


class _Curvature(NamedTuple):
    """The blocks of the normal matrix with the gradients beside them."""

    member: Array
    between: Array
    group: Array
    member_gradient: Array
    group_gradient: Array


class _Runs:
    """Sums over runs of rows that share an index; the index must not fall."""

    def __init__(self, index: Index, count: int) -> None:
        """Find where each run begins; an index without rows sums to zero."""
        self.count = count
        self.present = np.unique(index)
        self.begin = np.searchsorted(index, self.present)

    def sum(self, values: Array) -> Array:
        """Sum ``values`` [rows, ...] by index [count, ...]."""
        out = np.zeros((self.count, *values.shape[1:]))
        if len(self.present):
            out[self.present] = np.add.reduceat(values, self.begin, axis=0)
        return out


class _Problem:
    """A model with its prior and membership: cost and curvature at any parameters."""

    def __init__(self, model: Model, grouping: Grouping, prior: Prior) -> None:
        self.model, self.grouping, self.prior = model, grouping, prior
        self.by_member = _Runs(grouping.member_of_row, grouping.members)
        self.by_group = _Runs(grouping.group_of_member, grouping.groups)

    def cost(self, member: Array, group: Array, seen: Evaluation) -> Array:
        """Negative log posterior of each group [groups]."""
        prior = self.prior
        own = 0.5 * (prior.member_precision * (member - prior.member_mean) ** 2).sum(axis=1)
        own += self.by_member.sum(seen.cost)
        shared = 0.5 * (prior.group_precision * (group - prior.group_mean) ** 2).sum(axis=1)
        return np.asarray(shared + self.by_group.sum(own))

    def curvature(self, member: Array, group: Array, seen: Evaluation) -> _Curvature:
        """Gauss-Newton blocks of the negative log posterior."""
        prior, own_width = self.prior, seen.by_member.shape[1]
        slopes = np.concatenate([seen.by_member, seen.by_group], axis=1)
        weighted = slopes * seen.curvature[:, None]
        # Members first, groups from their members: each row is summed once.
        gradient = self.by_member.sum(slopes * seen.slope[:, None])
        wide = [weighted * slopes[:, n, None] for n in range(slopes.shape[1])]
        blocks = np.stack([self.by_member.sum(column) for column in wide], axis=2)
        shared = self.by_group.sum(np.ascontiguousarray(blocks[:, own_width:, own_width:]))
        own = np.ascontiguousarray(blocks[:, :own_width, :own_width])
        own_gradient = gradient[:, :own_width]
        own_gradient = own_gradient + prior.member_precision * (member - prior.member_mean)
        shared_gradient = self.by_group.sum(np.ascontiguousarray(gradient[:, own_width:]))
        shared_gradient += prior.group_precision * (group - prior.group_mean)
        _diagonal(own)[:] += prior.member_precision
        _diagonal(shared)[:] += prior.group_precision
        between = np.ascontiguousarray(blocks[:, :own_width, own_width:])
        return _Curvature(own, between, shared, own_gradient, shared_gradient)


def _diagonal(block: Array) -> Array:
    """The diagonals of many square matrices, as a view that can be written to."""
    return np.asarray(np.einsum("bii->bi", block))


def _with_damping(block: Array, scale: Array, damping: Array) -> Array:
    """Raise the diagonal by the share ``damping`` of its scale."""
    damped = block.copy()
    _diagonal(damped)[:] += damping[:, None] * scale
    return damped


def _schur(by_group: _Runs, own: Array, between: Array, shared: Array) -> tuple[Array, Array]:
    """Eliminate the members: their solved couplings and what is left of the group blocks."""
    coupling = np.linalg.solve(own, between)
    eaten = between.transpose(0, 2, 1) @ coupling
    return coupling, shared - by_group.sum(eaten)


def _step(
    problem: _Problem, blocks: _Curvature, scales: tuple[Array, Array], damping: Array
) -> tuple[Array, Array]:
    """One damped step for every member and group."""
    group_of, by_group = problem.grouping.group_of_member, problem.by_group
    own = _with_damping(blocks.member, scales[0], damping[group_of])
    shared = _with_damping(blocks.group, scales[1], damping)
    coupling, left = _schur(by_group, own, blocks.between, shared)
    eaten = np.einsum("bls,bl->bs", coupling, blocks.member_gradient)
    gradient = blocks.group_gradient - by_group.sum(eaten)
    group_step = -np.linalg.solve(left, gradient[:, :, None])[:, :, 0]
    alone = np.linalg.solve(own, blocks.member_gradient[:, :, None])[:, :, 0]
    shift = np.einsum("bls,bs->bl", coupling, group_step[group_of])
    return -alone - shift, group_step


def _promised(problem: _Problem, blocks: _Curvature, step: tuple[Array, Array]) -> Array:
    """How much lower each group's cost should get by a step [groups]."""
    own = problem.by_group.sum((blocks.member_gradient * step[0]).sum(axis=1))
    return np.asarray(-0.5 * (own + (blocks.group_gradient * step[1]).sum(axis=1)))


def _small(step: Array, values: Array, tolerance: float) -> Flags:
    """Whether every entry of a step is negligible beside its value."""
    return np.asarray((np.abs(step) <= tolerance * (np.abs(values) + tolerance)).all(axis=1))


def _covariances(problem: _Problem, blocks: _Curvature) -> tuple[Array, Array, Array, Array]:
    """Inverse curvature by blocks, and the log determinant of the whole by group."""
    by_group = problem.by_group
    coupling, left = _schur(by_group, blocks.member, blocks.between, blocks.group)
    cov_group = np.linalg.inv(left)
    of_member = cov_group[problem.grouping.group_of_member]
    cov_between = -coupling @ of_member
    cov_member = np.linalg.inv(blocks.member) - cov_between @ coupling.transpose(0, 2, 1)
    own = np.linalg.slogdet(blocks.member)[1]
    return cov_member, cov_group, cov_between, np.linalg.slogdet(left)[1] + by_group.sum(own)


def find_mode(
    model: Model,
    grouping: Grouping,
    prior: Prior,
    start: tuple[Array, Array] | None = None,
    *,
    tolerance: float = 1e-8,
    precision: float = 0.0,
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
        Membership of rows and members; neither index ever falls.
    prior : Prior
        Normal priors; precision 0 where there is none. Parameters have any unit.
    start : pair of arrays, optional
        Where to begin; the prior means if not given.
    tolerance : float
        A group has converged when its step is this small relative to its parameters ...
    precision : float
        ... or when a step promises to lower its negative log posterior by less than this.
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
    problem, group_of = _Problem(model, grouping, prior), grouping.group_of_member
    seen = model(member, group)
    cost = problem.cost(member, group, seen)
    blocks = problem.curvature(member, group, seen)
    damping = np.full(grouping.groups, first_damping)
    scales = _diagonal(blocks.member).copy(), _diagonal(blocks.group).copy()
    done = np.zeros(grouping.groups, dtype=bool)
    steps = 0
    while steps < most_steps and not done.all():
        steps += 1
        member_step, group_step = _step(problem, blocks, scales, damping)
        done |= _promised(problem, blocks, (member_step, group_step)) < precision
        member_step[done[group_of]] = 0.0
        group_step[done] = 0.0
        tried = member + member_step, group + group_step
        seen_there = model(*tried)
        cost_there = problem.cost(*tried, seen_there)
        better = cost_there <= cost
        wide = ~_small(member_step, member, tolerance)
        small = _small(group_step, group, tolerance)
        small &= np.bincount(group_of, wide, grouping.groups) == 0
        done |= small | (damping > MOST_DAMPING)
        take = better[group_of]
        member[take], group[better] = tried[0][take], tried[1][better]
        cost = np.where(better, cost_there, cost)
        damping = np.where(better, damping / 3.0, damping * 10.0)
        if not better.all():
            seen_there = model(member, group)
        blocks = problem.curvature(member, group, seen_there)
        # A fading memory of the curvature met keeps a parameter in reach where the model is flat.
        scales = (
            np.maximum(MEMORY_OF_SCALE * scales[0], _diagonal(blocks.member)),
            np.maximum(MEMORY_OF_SCALE * scales[1], _diagonal(blocks.group)),
        )
    cov_member, cov_group, cov_between, log_det = _covariances(problem, blocks)
    return Mode(member, group, cost, log_det, cov_member, cov_group, cov_between, done, steps)
