"""What all stacks of a yard have in common: a meter that reads high, a station that lies.

A dry stack whose meter reads a point high looks as if it still had a point to lose. Other
stacks read with the same meter and lying in the same air tell: their offsets, each as well
as it is known, are explained by one bias a meter and one a place. A stack never counts as
evidence about itself.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from webapp.drying import curve
from webapp.drying.priors import (
    COMMON_RATE_SD,
    STACK_OFFSET_SD_PCT,
    STACK_RATE_SD,
    STATION_AND_METER_SD_PCT,
    YardEffect,
)

if TYPE_CHECKING:
    from webapp.drying.arrays import Array
    from webapp.drying.fit import Posterior


LEAST_WEIGHT = 1e-6
ROBUST_DEGREES = 4.0
ROUNDS = 5


def _told_by_readings(posterior: Posterior, parameter: int) -> tuple[Array, Array]:
    """Mean and variance of a shared parameter as the readings alone have it [stacks]."""
    precision = posterior.prior.group_precision[:, parameter]
    mean = posterior.prior.group_mean[:, parameter]
    known = 1.0 / posterior.mode.cov_group[:, parameter, parameter]
    told = np.maximum(known - precision, LEAST_WEIGHT)
    value = (posterior.mode.group[:, parameter] * known - mean * precision) / told
    return value, 1.0 / told


def _without_own(
    design: Array, value: Array, variance: Array, cause_sd: Array
) -> tuple[Array, Array]:
    """Ridge regression of values on causes, predicted for each stack from the others.

    ``design`` [stacks, causes]; returns the expectation and its sd [stacks]. Stacks far
    from the rest (in trouble, most likely) count less, as under Student's t.
    """
    share = np.ones(len(value))
    eye = np.diag(cause_sd**-2.0)
    expected = spread = np.zeros(len(value))
    for _ in range(ROUNDS):
        weight = share / variance
        own = design[:, :, None] * design[:, None, :] * weight[:, None, None]
        right = design * (weight * value)[:, None]
        matrix = eye + own.sum(axis=0) - own
        causes = np.linalg.solve(matrix, (right.sum(axis=0) - right)[:, :, None])
        expected = np.einsum("sc,sc->s", design, causes[:, :, 0])
        known = np.linalg.solve(matrix, design[:, :, None])[:, :, 0]
        spread = np.sqrt(np.einsum("sc,sc->s", design, known))
        away = (value - expected) ** 2 / (variance + spread**2)
        share = (ROBUST_DEGREES + 1.0) / (ROBUST_DEGREES + away)
    return expected, spread


def yard_effect(posterior: Posterior, causes: Array) -> YardEffect:
    """Estimate a yard's common biases from a fit of all its stacks.

    Parameters
    ----------
    posterior : Posterior
        All stacks of the yard fitted with `YardEffect.unknown`.
    causes : array [stacks, places + meters]
        How far each place's and each meter's bias bears on a stack: 1 for the place where
        it was stacked, and the share of its readings taken with each meter.

    Returns
    -------
    YardEffect
        For each stack what the other stacks let expect. A yard of one stack stays unknown.
    """
    value, variance = _told_by_readings(posterior, curve.OFFSET)
    cause_sd = np.full(causes.shape[1], STATION_AND_METER_SD_PCT / np.sqrt(2.0))
    offset, offset_sd = _without_own(causes, value, variance + STACK_OFFSET_SD_PCT**2, cause_sd)
    told, rate_variance = _told_by_readings(posterior, curve.RATE)
    away = told - posterior.prior.group_mean[:, curve.RATE]
    one = np.ones((len(away), 1))
    rate, rate_sd = _without_own(
        one, away, rate_variance + STACK_RATE_SD**2, np.array([COMMON_RATE_SD])
    )
    return YardEffect(rate, rate_sd, offset, offset_sd)
