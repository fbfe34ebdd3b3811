"""What is expected of boards before anybody reads them.

References
----------
.. [1] Tschernitz, J. L. and Simpson, W. T. 1979. Wood Science 11(4):202-208: time grows with
   thickness to the power 1.52.
.. [2] Simpson, W. T., Tschernitz, J. L. and Fuller, J. J. 1999. Air drying of lumber.
   FPL-GTR-117: days from green to 20 % by species; time grows as thickness to about 1.5.
.. [3] Wengert, E. M. Drying oak lumber. Univ. of Wisconsin: 8/4 takes 2.5 times as long as
   4/4 (power 1.3).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from webapp.drying import curve
from webapp.drying.least_squares import Prior

if TYPE_CHECKING:
    from webapp.drying.arrays import Array, Index
    from webapp.drying.stacks import Boards


INCH_MM = 25.4
THICKNESS_POWER = 1.45
MIDDLE_DENSITY = 0.5
DENSITY_POWER = 1.0
# An inch board of middling density loses its excess at 1/25 a day at 20 degC in a stack with
# ordinary air flow: about 60 warm days from 80 % to 20 % [2]_.
LOG_RATE_OF_INCH = float(np.log(1.0 / 25.0))

STACK_RATE_SD = 0.5
BOARD_RATE_SD = 0.25
STACK_OFFSET_SD_PCT = 0.6
COMMON_RATE_SD = 0.3
STATION_AND_METER_SD_PCT = 1.1
MOVED_RATE_SD = 0.35
MOVED_OFFSET_SD_PCT = 0.8
# A prior so narrow that the parameter is as good as left out.
SHUT = 1e-3


@dataclass(frozen=True)
class YardEffect:
    """What all stacks of a yard have in common, from a full refit, all [stacks].

    ``rate`` is added to the expected log rate; ``offset_pct`` to the expected offset of
    equilibrium (meter bias and station bias together), each with what is left uncertain
    about it.
    """

    rate: Array
    rate_sd: Array
    offset_pct: Array
    offset_sd_pct: Array

    @classmethod
    def unknown(cls, stacks: int) -> YardEffect:
        """Before anything is known of a yard."""
        return cls(
            np.zeros(stacks),
            np.full(stacks, COMMON_RATE_SD),
            np.zeros(stacks),
            np.full(stacks, STATION_AND_METER_SD_PCT),
        )

    def of(self, stacks: Index) -> YardEffect:
        """The effect on chosen stacks, in their order."""
        return YardEffect(
            self.rate[stacks],
            self.rate_sd[stacks],
            self.offset_pct[stacks],
            self.offset_sd_pct[stacks],
        )


@dataclass(frozen=True)
class TroubleBelief:
    """What a supposed trouble does: mean and sd of its change of log rate and of offset.

    One number for all stacks, or an array [stacks].
    """

    rate: float | Array
    rate_sd: float | Array
    offset_pct: float | Array
    offset_sd_pct: float | Array


NO_TROUBLE = TroubleBelief(0.0, SHUT, 0.0, SHUT)


def expected_log_rate(thickness_mm: Array, density: Array) -> Array:
    """Logarithm of the rate to be expected of a board in a stack.

    Parameters
    ----------
    thickness_mm : array
        Rough thickness [mm], 10 to 150.
    density : array
        Oven-dry mass over green volume, relative to water [-], 0.25 to 0.9.

    Returns
    -------
    array
        ln of the rate at 20 degC [1/day].

    Notes
    -----
    Time grows with thickness to the power 1.45, between [1]_ [2]_ and [3]_, and in
    proportion to density; scaled so that inch boards agree with [2]_.
    """
    return np.asarray(
        LOG_RATE_OF_INCH
        - THICKNESS_POWER * np.log(thickness_mm / INCH_MM)
        - DENSITY_POWER * np.log(density / MIDDLE_DENSITY)
    )


def _mean_by_stack(boards: Boards, values: Array) -> Array:
    """Mean of boards' values in each stack [stacks]."""
    total = np.bincount(boards.stack, values, boards.stacks)
    return total / np.bincount(boards.stack, minlength=boards.stacks)


def prior_of(boards: Boards, effect: YardEffect, belief: TroubleBelief = NO_TROUBLE) -> Prior:
    """Normal priors of all boards and stacks.

    The stack's rate stands for its mean board; a board thicker or denser than that gets
    the difference as the mean of its own deviation.
    """
    expected = expected_log_rate(boards.thickness_mm, boards.density)
    of_stack = _mean_by_stack(boards, expected)
    member_mean = np.column_stack([np.log(boards.green_pct), expected - of_stack[boards.stack]])
    member_sd = np.column_stack([boards.green_log_sd, np.full(len(boards), BOARD_RATE_SD)])
    mean = np.zeros((boards.stacks, curve.GROUP_PARAMETERS))
    sd = np.empty_like(mean)
    mean[:, curve.RATE] = of_stack + effect.rate
    sd[:, curve.RATE] = np.hypot(STACK_RATE_SD, effect.rate_sd)
    mean[:, curve.OFFSET] = effect.offset_pct
    sd[:, curve.OFFSET] = np.hypot(STACK_OFFSET_SD_PCT, effect.offset_sd_pct)
    sd[:, curve.MOVED_RATE] = MOVED_RATE_SD
    sd[:, curve.MOVED_OFFSET] = MOVED_OFFSET_SD_PCT
    mean[:, curve.TROUBLE_RATE], sd[:, curve.TROUBLE_RATE] = belief.rate, belief.rate_sd
    mean[:, curve.TROUBLE_OFFSET] = belief.offset_pct
    sd[:, curve.TROUBLE_OFFSET] = belief.offset_sd_pct
    return Prior(member_mean, member_sd**-2.0, mean, sd**-2.0)
