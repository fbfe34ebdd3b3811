"""In one sentence what the readings of a round can decide about a stack.

References
----------
.. [1] Conners, Univ. of Kentucky Extension FOR-128, p. 76: at least four sample boards, chosen;
   by chance it would take one to two dozen (seen).
.. [2] Wengert, Univ. of Wisconsin extension, expert answer: choose the wettest, the slowest and
   the driest boards, not the average (seen).
.. [3] Batista et al. 2017, Floresta e Ambiente: the boards of one stack of air-dried 40 mm teak
   lay 2.5 points apart (seen).
.. [4] Wood Handbook FPL-GTR-190, ch. 13: a moisture section lies at least 500 mm from the end
   (seen); ends dry first. Electric meters are of use below 30 % only (seen).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from webapp import sizes, wording

if TYPE_CHECKING:
    from webapp.look import Look
    from webapp.yard.reading_spots import Taken

_ = wording.translation.gettext

FEWEST_SAMPLES = 4
HALF = 0.5


def what_decides(last: Taken, board_count: int, look: Look, *, once: bool) -> str:
    """Say what the last round can decide: the first thing that stands in the way, or nothing."""
    least = min(FEWEST_SAMPLES, board_count)
    told = {
        "read": last.boards,
        "count": board_count,
        "least": least,
        "aside": last.at_sides,
    }
    if last.at_sides > HALF * last.readings:
        return _(_at_sides(last)) % told
    if last.over > HALF * last.readings:
        said = _(
            "%(read)d of %(count)d boards read, mostly over what a meter can tell: this says only "
            "that they are wet."
        )
        return said % told
    if last.shallow.readings > HALF * last.readings:
        return _outside(last, look)
    if last.boards < least:
        said = _(
            "%(read)d of %(count)d boards read: a wet one may be missed. Read at least %(least)d, "
            "the wettest and the thickest among them."
        )
    elif once:
        said = _(
            "%(read)d of %(count)d boards read, on one day only: this can say how wet they were, "
            "not whether they still lose."
        )
    elif last.spots.get("", 0) > HALF * last.readings:
        said = _(
            "%(read)d of %(count)d boards read, where on them is not noted: edges and ends dry "
            "first, and readings there could not say that it has levelled off."
        )
    elif sum(meter.readings for meter in last.meters if not meter.name) > HALF * last.readings:
        said = _(
            "%(read)d of %(count)d boards read, the meter not noted: its numbers are taken as "
            "they stand, and show a loss better than they show how dry it is."
        )
    elif last.at_sides:
        said = _(
            "%(read)d of %(count)d boards read; readings at an edge or end, here %(aside)d, never "
            "decide alone, the others can."
        )
    elif last.boards < board_count:
        said = _(
            "%(read)d of %(count)d boards read, away from edges and ends: this can decide for "
            "them; boards not read may lie two or three points off."
        )
    else:
        said = _("%(read)d of %(count)d boards read, away from edges and ends: this can decide.")
    return said % told


def _at_sides(last: Taken) -> str:
    """Say that edges and ends run ahead of the boards."""
    all_of_them = last.at_sides == last.readings
    if last.spots.get("edge", 0) == 0:
        return (
            wording.marked(
                "%(read)d of %(count)d boards read, all near an end: ends dry first, so this "
                "cannot say that the stack has levelled off."
            )
            if all_of_them
            else wording.marked(
                "%(read)d of %(count)d boards read, mostly near an end: ends dry first, so this "
                "can hardly say that the stack has levelled off."
            )
        )
    return (
        wording.marked(
            "%(read)d of %(count)d boards read, all at an edge or end: these dry first, so this "
            "cannot say that the stack has levelled off."
        )
        if all_of_them
        else wording.marked(
            "%(read)d of %(count)d boards read, mostly at an edge or end: these dry first, so "
            "this can hardly say that the stack has levelled off."
        )
    )


def _outside(last: Taken, look: Look) -> str:
    """Say that the inside may be wetter than what was read."""
    needle_mm, thickness_mm = last.shallow.needle_mm, last.shallow.thickness_mm
    if needle_mm is None or thickness_mm is None:
        return _("Read at the outside, which dries first: the inside is likely wetter.")
    told = {
        "needle": sizes.size_words(needle_mm, look.units),
        "thick": sizes.size_words(thickness_mm, look.units),
    }
    return (
        _(
            "Needles %(needle)s long in boards %(thick)s thick read the outside, which dries "
            "first: while it still loses, the inside is likely wetter."
        )
        % told
    )
