"""What six weeks in another place would bring a stack, with the caution that goes with it.

Above 20 % no wood is sent into heat, and what goes there goes slowly and without live beetles.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from webapp import wording
from webapp.pages.leaving_table import points_words, range_words
from webapp.records.place import PlaceKind

if TYPE_CHECKING:
    from webapp.yard.weigh_leaving import Leaving, Prospect

_ = wording.translation.gettext

LEAST_GAIN_PCT = 0.5
HEAT_BELOW_PCT = 20.0
# An inch and a half: from here on a board shows checks before it shows the gain (common practice,
# no source).
THICK_MM = 38.0


def elsewhere(weighed: Leaving, use: str | None) -> list[str]:
    """Say what six weeks in the best other place bring, with the caution that goes with it."""
    if weighed.target_pct is not None and _needs_no_more(weighed):
        for_what = wording.use_words(weighed.target_pct, use)
        return [_("For %s it likely needs to lose no more.") % for_what]
    too_wet = weighed.six_weeks.wettest.now_pct > HEAT_BELOW_PCT
    every = [*weighed.elsewhere, *([weighed.assumed] if weighed.assumed else [])]
    fit = [there for there in every if not (too_wet and there.kind == PlaceKind.HEATED)]
    told = [there for there in fit if there.middle.moisture_pct <= wording.WETTEST_TOLD_PCT]
    best = max(told, key=lambda there: there.middle.off_pct, default=None)
    said = []
    if best and best.middle.off_pct - max(weighed.six_weeks.middle.off_pct, 0) >= LEAST_GAIN_PCT:
        said += [_six_weeks(best), *_care(best, weighed)]
        said += enough(best, weighed, use, _("After six weeks there"))
    elif weighed.elsewhere and not too_wet:
        said.append(_("Six weeks in any other place of this yard would take off no more."))
    if len(fit) < len(every) or (too_wet and weighed.kind == PlaceKind.HEATED):
        said.append(_too_wet(weighed))
    return said


def _needs_no_more(weighed: Leaving) -> bool:
    """Whether even the wettest board is likely as dry as it is to be."""
    target_pct = weighed.target_pct
    return target_pct is not None and weighed.driest.wettest.now_pct <= target_pct


def _too_wet(weighed: Leaving) -> str:
    """Keep wet wood out of the heat."""
    here = weighed.six_weeks
    if weighed.kind == PlaceKind.HEATED:
        return _("Above 20 % wood checks easily in a heated room: look at it often, slow it down.")
    if here.middle.now_pct > HEAT_BELOW_PCT:
        return _(
            "It is too wet yet for a heated room: bring it in only below 20 %, slowly if it is "
            "thick, and with no live beetles in it."
        )
    said = _(
        "Its wettest board, %s, is too wet yet for a heated room: bring it in only below 20 %%, "
        "slowly if it is thick, and with no live beetles in it."
    )
    return said % here.wettest.mark


def _six_weeks(there: Prospect) -> str:
    """Say what six weeks in a place take off."""
    middle = there.middle
    told = {
        "place": there.place or _("a heated room"),
        "off": points_words(middle.off_pct),
        "then": range_words(middle),
    }
    if middle.now_pct > wording.WETTEST_TOLD_PCT:
        return _("Six weeks in %(place)s would take it from over 30 %% to %(then)s.") % told
    return _("Six weeks in %(place)s would take %(off)s off, to %(then)s.") % told


def _care(there: Prospect, weighed: Leaving) -> list[str]:
    """Say what to take care of on the way into warmth."""
    if there.kind == PlaceKind.CHAMBER:
        return [
            _(
                "In a drying chamber keep to the schedule for this wood and thickness: dried too "
                "fast, it checks inside."
            )
        ]
    if there.kind != PlaceKind.HEATED:
        return []
    if weighed.thickest_mm >= THICK_MM:
        return [_("Go slowly: boards this thick check. Carry no live beetles in.")]
    return [_("Carry no live beetles in.")]


def enough(then: Prospect, weighed: Leaving, use: str | None, when: str) -> list[str]:
    """Say whether that is dry enough for what the stack is dried to."""
    target, middle, wettest = weighed.target_pct, then.middle, then.wettest
    if target is None or _needs_no_more(weighed):
        return []
    told = {"when": when, "use": wording.use_words(target, use), "wettest": wettest.mark}
    if wettest.high_pct <= target:
        return [_("%(when)s it would be dry enough for %(use)s, the wettest board too.") % told]
    if wettest.moisture_pct <= target:
        return [_("%(when)s it would be about dry enough for %(use)s.") % told]
    if middle.moisture_pct <= target:
        said = _(
            "%(when)s most of it would be about dry enough for %(use)s, but not the wettest "
            "board, %(wettest)s."
        )
        return [said % told]
    return [_("%(when)s it would still be too wet for %(use)s.") % told]
