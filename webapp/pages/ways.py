"""How far wood has come: a bar from wet to what it is dried to."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from webapp import wording

if TYPE_CHECKING:
    from collections.abc import Sequence

    from webapp.yard.judge_stack import BoardVerdict

_ = wording.translation.gettext


@dataclass(frozen=True)
class Way:
    """A bar that fills from ``start`` to ``goal``: hundredths done, and both ends in words."""

    done: float
    start: str
    goal: str
    label: str


def target_of(verdicts: Sequence[BoardVerdict]) -> float | None:
    """Return the lowest target of some boards; none where none of them has one."""
    return min((v.target_pct for v in verdicts if v.target_pct is not None), default=None)


def way_of(moisture_pct: float, verdicts: Sequence[BoardVerdict]) -> Way | None:
    """Return how far a stack has come; nothing where its moisture is not known.

    Without a target its goal is where its place takes it, which is no number of the keeper's.
    """
    target_pct = target_of(verdicts)
    ends = [v.verdict.equilibrium_pct for v in verdicts if math.isfinite(v.verdict.equilibrium_pct)]
    goal_pct = min(ends, default=math.nan) if target_pct is None else target_pct
    if not (math.isfinite(moisture_pct) and math.isfinite(goal_pct)):
        return None
    goal = _("air-dry") if target_pct is None else wording.percent(goal_pct)
    now = wording.level(moisture_pct)
    return Way(
        done=done_of(moisture_pct, goal_pct),
        start=wording.percent(wording.WETTEST_TOLD_PCT),
        goal=goal,
        label=_("now %(now)s, to reach %(goal)s") % {"now": now, "goal": goal},
    )


def done_of(moisture_pct: float, goal_pct: float) -> float:
    """Return how much of the way to its goal is done, in hundredths; wetter than told is none."""
    if moisture_pct <= goal_pct:
        return 100.0
    share = (wording.WETTEST_TOLD_PCT - moisture_pct) / (wording.WETTEST_TOLD_PCT - goal_pct)
    return round(100 * max(share, 0.0), 1) if goal_pct < wording.WETTEST_TOLD_PCT else 0.0
