"""One stack taken out of a yard's fits, with everything that is known of it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from webapp.drying.curve import DryingCurve
from webapp.drying.fit import Posterior
from webapp.drying.least_squares import Mode, Prior
from webapp.drying.reading_error import ReadingError
from webapp.drying.stacks import Changes, select_stacks
from webapp.drying.trouble import Findings

if TYPE_CHECKING:
    from webapp.drying.arrays import Index
    from webapp.drying.stacks import Selection
    from webapp.drying.suspicion import Suspicion


def changes_of(suspicions: tuple[Suspicion, ...]) -> Changes:
    """From when to when something is wrong in each course of events.

    Parameters
    ----------
    suspicions : tuple of Suspicion
        One a stack of the fit.

    Returns
    -------
    Changes
        Days since 1970-01-01, infinite where nothing is wrong.
    """
    return Changes(
        np.array([s.from_day for s in suspicions]), np.array([s.until_day for s in suspicions])
    )


def copies_of(whole: Posterior, chosen: Index, changes: Changes) -> tuple[Posterior, Selection]:
    """Copy chosen stacks of a fit with all that is known of them; nothing is fitted anew.

    Parameters
    ----------
    whole : Posterior
        A fit.
    chosen : array of int
        Indices of its stacks; one that is named twice is copied twice.
    changes : Changes
        From when to when something is supposed to be wrong with each copy.

    Returns
    -------
    Posterior, Selection
        The copies as a fit of their own, and what each one is a copy of.
    """
    copies = select_stacks(whole.curve.boards, whole.error.readings, chosen)
    rows, mode, prior = copies.board_source, whole.mode, whole.prior
    posterior = Posterior(
        DryingCurve(copies.boards, whole.curve.air, changes),
        Mode(
            mode.member[rows],
            mode.group[chosen],
            mode.cost[chosen],
            mode.log_det[chosen],
            mode.cov_member[rows],
            mode.cov_group[chosen],
            mode.cov_between[rows],
            mode.converged[chosen],
            mode.steps,
        ),
        ReadingError(copies.readings, whole.error.sd_pct[copies.reading_source]),
        Prior(
            prior.member_mean[rows],
            prior.member_precision[rows],
            prior.group_mean[chosen],
            prior.group_precision[chosen],
        ),
    )
    return posterior, copies


def findings_of_stack(findings: Findings, stack: int) -> Findings:
    """The findings about one stack, as if it were the only one of the yard.

    Parameters
    ----------
    findings : Findings
        All of the yard.
    stack : int
        Index of the stack among the yard's.

    Returns
    -------
    Findings
        Its courses of events with their fits, nothing fitted anew.
    """
    chosen = np.flatnonzero(findings.stack_source == stack)
    suspicions = tuple(replace(findings.suspicions[n], stack=0) for n in chosen)
    posterior, copies = copies_of(findings.posterior, chosen, changes_of(suspicions))
    board = findings.board_source[copies.board_source]
    reading = findings.reading_source[copies.reading_source]
    return Findings(
        suspicions,
        posterior,
        findings.weight[chosen],
        reading - reading.min(initial=len(findings.reading_source)),
        board - board.min(),
        np.zeros(len(chosen), dtype=np.intp),
    )
