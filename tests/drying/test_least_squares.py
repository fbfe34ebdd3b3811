"""Against certified regressions: NIST Statistical Reference Datasets, Nonlinear Regression.

Misra1a (lower difficulty), Chwirut2 (lower), MGH17 (average), BoxBOD (higher); certified to
eleven digits, from two starting points each. Misra1a and BoxBOD are an exponential approach
to a limit, the shape of a drying curve in constant air.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from tests.drying.printed import rows_of
from webapp.drying.least_squares import Evaluation, Grouping, Mode, Prior, find_mode

if TYPE_CHECKING:
    from collections.abc import Callable

    from webapp.drying.arrays import Array

    Curve = Callable[[Array, Array], tuple[Array, Array]]

NAMES = ("Misra1a", "Chwirut2", "MGH17", "BoxBOD")
DIGITS = 1e-6


def _approach(b: Array, x: Array) -> tuple[Array, Array]:
    left = np.exp(-b[1] * x)
    return b[0] * (1 - left), np.column_stack([1 - left, b[0] * x * left])


def _chwirut2(b: Array, x: Array) -> tuple[Array, Array]:
    left, below = np.exp(-b[0] * x), b[1] + b[2] * x
    slopes = [-x * left / below, -left / below**2, -x * left / below**2]
    return left / below, np.column_stack(slopes)


def _mgh17(b: Array, x: Array) -> tuple[Array, Array]:
    # A step may try a growth that no double holds; it is then refused by its cost.
    first, second = np.exp(np.minimum(-x * b[3], 300)), np.exp(np.minimum(-x * b[4], 300))
    slopes = [np.ones_like(x), first, second, -b[1] * x * first, -b[2] * x * second]
    return b[0] + b[1] * first + b[2] * second, np.column_stack(slopes)


CURVES: dict[str, Curve] = {
    "Misra1a": _approach,
    "BoxBOD": _approach,
    "Chwirut2": _chwirut2,
    "MGH17": _mgh17,
}


def _data(name: str) -> tuple[Array, Array]:
    rows = [row for row in rows_of("nist_strd_data.csv") if row["dataset"] == name]
    return np.array([float(r["x"]) for r in rows]), np.array([float(r["y"]) for r in rows])


def _certified(name: str, column: str, *, of: str = "b") -> Array:
    rows = [row for row in rows_of("nist_strd_certified.csv") if row["dataset"] == name]
    return np.array([float(r[column]) for r in rows if r["parameter"].startswith(of)])


def _solved(name: str, start: str, *, shared: bool) -> Mode:
    x, y = _data(name)
    first = _certified(name, start)[None, :]
    none = np.zeros((1, 0))
    grouping = Grouping(np.zeros(len(x), dtype=np.intp), np.zeros(1, dtype=np.intp), 1)

    def model(member: Array, group: Array) -> Evaluation:
        fitted, slopes = CURVES[name]((group if shared else member)[0], x)
        error = fitted - y
        empty = np.zeros((len(x), 0))
        by = (empty, slopes) if shared else (slopes, empty)
        return Evaluation(0.5 * error**2, error, np.ones_like(error), *by)

    own, common = (none, first) if shared else (first, none)
    prior = Prior(own, np.zeros_like(own), common, np.zeros_like(common))
    return find_mode(
        model, grouping, prior, tolerance=1e-10, first_damping=100.0, most_steps=20_000
    )


@pytest.mark.filterwarnings("ignore:overflow:RuntimeWarning")
@pytest.mark.parametrize("shared", [False, True], ids=["member", "group"])
@pytest.mark.parametrize("start", ["start_1", "start_2"])
@pytest.mark.parametrize("name", NAMES)
def test_certified_parameters_are_found_from_both_starts(
    name: str, start: str, *, shared: bool
) -> None:
    mode = _solved(name, start, shared=shared)
    found = (mode.group if shared else mode.member)[0]
    assert mode.converged.all()
    np.testing.assert_allclose(found, _certified(name, "certified"), rtol=DIGITS)
    squares = _certified(name, "certified", of="residual_sum")[0]
    np.testing.assert_allclose(2.0 * mode.cost[0], squares, rtol=DIGITS)


@pytest.mark.parametrize("name", NAMES)
def test_certified_standard_deviations_are_found(name: str) -> None:
    mode = _solved(name, "start_2", shared=True)
    residual_sd = _certified(name, "certified", of="residual_sd")[0]
    sd = np.sqrt(np.diag(mode.cov_group[0])) * residual_sd
    np.testing.assert_allclose(sd, _certified(name, "certified_sd"), rtol=DIGITS)


def _lines(members: int, groups: int, seed: int) -> tuple[Grouping, Array, Array]:
    """Rows of y = own + shared * x with unit noise."""
    rng = np.random.default_rng(seed)
    rows = np.repeat(np.arange(members), 5)
    of = np.arange(members) * groups // members
    x = rng.uniform(-1, 1, len(rows))
    y = rng.normal(size=members)[rows] + rng.normal(size=groups)[of][rows] * x
    return Grouping(rows, of, groups), x, y + rng.normal(size=len(rows))


def _line_model(grouping: Grouping, x: Array, y: Array) -> Callable[[Array, Array], Evaluation]:
    rows = grouping.member_of_row
    of = grouping.group_of_member[rows]

    def model(member: Array, group: Array) -> Evaluation:
        error = member[rows, 0] + group[of, 0] * x - y
        one = np.ones((len(x), 1))
        return Evaluation(0.5 * error**2, error, one[:, 0], one, x[:, None])

    return model


def _line_prior(members: int, groups: int) -> Prior:
    return Prior(
        np.full((members, 1), 0.3),
        np.full((members, 1), 2.0),
        np.full((groups, 1), -0.4),
        np.full((groups, 1), 5.0),
    )


def test_a_linear_model_gives_the_closed_form_normal_posterior() -> None:
    members, groups = 6, 2
    grouping, x, y = _lines(members, groups, seed=1)
    mode = find_mode(_line_model(grouping, x, y), grouping, _line_prior(members, groups))
    rows = grouping.member_of_row
    for group in range(groups):
        mine = np.flatnonzero(grouping.group_of_member == group)
        here = np.isin(rows, mine)
        design = np.column_stack([rows[here, None] == mine, x[here]]).astype(float)
        precision = np.diag([2.0] * len(mine) + [5.0])
        prior = np.array([0.3] * len(mine) + [-0.4])
        covariance = np.linalg.inv(design.T @ design + precision)
        mean = covariance @ (design.T @ y[here] + precision @ prior)
        np.testing.assert_allclose(mode.member[mine, 0], mean[:-1], rtol=1e-7)
        np.testing.assert_allclose(mode.group[group, 0], mean[-1], rtol=1e-7)
        np.testing.assert_allclose(mode.cov_group[group, 0, 0], covariance[-1, -1])
        np.testing.assert_allclose(mode.cov_member[mine, 0, 0], np.diag(covariance)[:-1])
        np.testing.assert_allclose(mode.cov_between[mine, 0, 0], covariance[:-1, -1])
        log_det = np.linalg.slogdet(design.T @ design + precision)[1]
        np.testing.assert_allclose(mode.log_det[group], log_det)


def test_groups_do_not_touch_each_other() -> None:
    grouping, x, y = _lines(6, 2, seed=2)
    both = find_mode(_line_model(grouping, x, y), grouping, _line_prior(6, 2))
    other = np.where(grouping.group_of_member[grouping.member_of_row] == 1, y + 100.0, y)
    moved = find_mode(_line_model(grouping, x, other), grouping, _line_prior(6, 2))
    np.testing.assert_allclose(moved.group[0], both.group[0], rtol=1e-9)
    np.testing.assert_allclose(moved.member[:3], both.member[:3], rtol=1e-9)
    assert not np.allclose(moved.group[1], both.group[1])


def test_a_member_without_rows_keeps_its_prior() -> None:
    grouping, x, y = _lines(4, 1, seed=3)
    wider = Grouping(grouping.member_of_row, np.zeros(5, dtype=np.intp), 1)
    mode = find_mode(_line_model(wider, x, y), wider, _line_prior(5, 1))
    np.testing.assert_allclose(mode.member[4, 0], 0.3)
    np.testing.assert_allclose(mode.cov_member[4, 0, 0], 0.5)


def test_an_easy_group_is_done_while_a_hard_one_says_that_it_is_not() -> None:
    """Two groups of one member each: Misra1a from its far start, and from its answer."""
    x, y = _data("Misra1a")
    far, answer = _certified("Misra1a", "start_1"), _certified("Misra1a", "certified")
    rows = np.repeat([0, 1], len(x))

    def model(member: Array, _group: Array) -> Evaluation:
        curves = [_approach(own, x) for own in member]
        error = np.concatenate([fitted - y for fitted, _ in curves])
        slopes = np.concatenate([slope for _, slope in curves])
        return Evaluation(
            0.5 * error**2, error, np.ones_like(error), slopes, np.zeros((len(rows), 0))
        )

    start, none = np.array([far, answer]), np.zeros((2, 0))
    prior = Prior(start, np.zeros_like(start), none, none)
    grouping = Grouping(rows, np.arange(2), 2)
    early = find_mode(model, grouping, prior, tolerance=1e-6, most_steps=3)
    np.testing.assert_array_equal(early.converged, [False, True])
    late = find_mode(model, grouping, prior, tolerance=1e-10, most_steps=200)
    assert late.converged.all()
    np.testing.assert_allclose(late.member[0], answer, rtol=DIGITS)


def test_a_group_is_not_led_astray_by_one_that_fits_badly() -> None:
    """Full steps on an arc tangent run away from 3; a neighbour's cost must not excuse them."""
    tall = np.array([-1e4, 1e4])

    def model(member: Array, _group: Array) -> Evaluation:
        bent, plain = member[:, 0]
        error = np.concatenate([[np.arctan(bent)], plain - tall])
        slopes = np.array([[1.0 / (1.0 + bent**2)], [1.0], [1.0]])
        return Evaluation(0.5 * error**2, error, np.ones(3), slopes, np.zeros((3, 0)))

    start, none = np.array([[3.0], [5.0]]), np.zeros((2, 0))
    prior = Prior(start, np.zeros_like(start), none, none)
    grouping = Grouping(np.array([0, 1, 1]), np.arange(2), 2)
    mode = find_mode(model, grouping, prior, most_steps=100)
    assert mode.converged.all()
    np.testing.assert_allclose(mode.member[:, 0], [0.0, 0.0], atol=1e-6)


def test_what_has_not_converged_says_so() -> None:
    x, y = _data("Misra1a")
    start = np.array([[500.0, 0.0001]])

    def model(member: Array, _group: Array) -> Evaluation:
        fitted, slopes = _approach(member[0], x)
        error = fitted - y
        return Evaluation(0.5 * error**2, error, np.ones_like(error), slopes, np.zeros((len(x), 0)))

    grouping = Grouping(np.zeros(len(x), dtype=np.intp), np.zeros(1, dtype=np.intp), 1)
    prior = Prior(start, np.zeros((1, 2)), np.zeros((1, 0)), np.zeros((1, 0)))
    assert not find_mode(model, grouping, prior, tolerance=1e-10, most_steps=2).converged.any()
