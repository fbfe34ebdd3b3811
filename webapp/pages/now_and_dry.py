"""At which moistures a board's size and weight are told: now, and when it is dry."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from webapp import wording

if TYPE_CHECKING:
    from webapp.yard.judge_stack import BoardVerdict

_ = wording.translation.gettext

AS_GOOD_AS_THERE_PCT = 0.3  # nearer than this, neither size nor weight tells a difference


@dataclass(frozen=True)
class At:
    """A moisture, its likely range, and what that moment is called."""

    called: str
    pct: float
    low_pct: float
    high_pct: float


def now_and_dry(said: BoardVerdict | None, driest_pct: float) -> tuple[list[At], list[str]]:
    """Choose what is told, with a remark where the board is there already.

    `driest_pct` is the lowest that its place takes it within a year. A board that came drier
    than that takes up water there, so it will be larger and heavier than now.
    """
    now = _now(said)
    target_pct = said.target_pct if said else None
    goal_pct = driest_pct if target_pct is None else target_pct
    still_pct = now.pct - goal_pct
    if not math.isfinite(goal_pct):
        return [now], []
    if math.isnan(still_pct) or still_pct > AS_GOOD_AS_THERE_PCT:
        called = _("at its driest here, %s") if target_pct is None else _("when dry, at %s")
        return [now, _at(called, goal_pct)], []
    if target_pct is not None:
        return [now], [_("It is as dry as it needs to be.")]
    if still_pct < -AS_GOOD_AS_THERE_PCT:
        remark = _(
            "It is drier than this place keeps wood: it takes up water, swells, gets heavier."
        )
        return [now, _at(_("as this place keeps it, at %s"), goal_pct)], [remark]
    return [now], [_("It is as dry as it gets here.")]


def _at(called: str, pct: float) -> At:
    return At(called % wording.percent(pct), pct, pct, pct)


def _now(said: BoardVerdict | None) -> At:
    if said is None or not math.isfinite(said.verdict.moisture_pct):
        return At(_("as sawn"), math.nan, math.nan, math.nan)
    verdict = said.verdict
    pct, ends = verdict.moisture_pct, (verdict.moisture_low, verdict.moisture_high)
    low_pct, high_pct = ends if all(map(math.isfinite, ends)) else (pct, pct)
    return At(_("now, at %s") % wording.level(pct), pct, low_pct, high_pct)
