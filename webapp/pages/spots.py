"""Where a stack's readings were taken, and in one sentence what they can decide.

References
----------
.. [1] Conners, Univ. of Kentucky Extension FOR-128, p. 76: at least four sample boards, chosen;
   by chance it would take one to two dozen (seen).
.. [2] Wengert, Univ. of Wisconsin extension, expert answer: choose the wettest, the slowest and
   the driest boards, not the average (seen).
.. [3] Batista et al. 2017, Floresta e Ambiente: the boards of one stack of air-dried 40 mm teak
   lay 2.5 points apart (seen).
.. [4] Wood Handbook FPL-GTR-190, ch. 13: a moisture section lies at least 500 mm from the end
   (seen); ends dry first.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from webapp import sizes, wording
from webapp.yard.reading_spots import reading_spots

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from sqlalchemy.orm import Session

    from webapp.look import Look
    from webapp.records.stack import Stack
    from webapp.yard.reading_spots import MeterUse, ReadingSpots, Taken

_ = wording.translation.gettext
_n = wording.translation.ngettext

FEWEST_SAMPLES = 4
HALF = 0.5

SPOT_WORDS: Mapping[str, str] = {
    "face": wording.marked("face"),
    "edge": wording.marked("edge"),
    "end": wording.marked("near an end"),
    "nails": wording.marked("fixed nails"),
    "pulled out": wording.marked("pulled out"),
    "": wording.marked("not noted"),
}
DEPTH_WORDS: Mapping[str, str] = {
    "shell": wording.marked("outside"),
    "quarter": wording.marked("a quarter in"),
    "core": wording.marked("inside"),
    "mean": wording.marked("all through"),
    "": wording.marked("not noted"),
}
KIND_WORDS: Mapping[str, str] = {
    "pin": wording.marked("pin meter"),
    "pinless": wording.marked("pinless meter"),
}


@dataclass(frozen=True)
class SpotWords:
    """What the readings can decide, and the facts that say so, name by name."""

    decides: str
    facts: tuple[tuple[str, str], ...]


def spot_words(session: Session, stack: Stack, as_of: date, look: Look) -> SpotWords:
    """Say where the readings of a stack were taken and what they can decide."""
    return said_of(reading_spots(session, stack, as_of), look)


def said_of(spots: ReadingSpots, look: Look) -> SpotWords:
    """Put the counts into words."""
    last, every = spots.last, spots.every
    if last is None or every is None:
        return SpotWords(_("None of its boards has been read yet."), ())
    facts = [
        (_("last round"), _boards_read(last, spots.board_count, look)),
        (_("where"), _counts(last.spots, SPOT_WORDS)),
        (_("how deep"), _counts(last.depths, DEPTH_WORDS)),
        (_("with"), "; ".join(_meter(meter, look) for meter in last.meters)),
        (_("in all"), _in_all(every)),
    ]
    return SpotWords(_decides(spots, last, once=every.days == 1, look=look), tuple(facts))


def _decides(spots: ReadingSpots, last: Taken, *, once: bool, look: Look) -> str:
    """Say what the last round can decide: the first thing that stands in the way, or nothing."""
    board_count = spots.board_count
    least = min(FEWEST_SAMPLES, board_count)
    told = {
        "read": last.boards,
        "count": board_count,
        "least": least,
        "aside": last.at_sides,
    }
    if last.at_sides > HALF * last.readings:
        return _(_at_sides(last)) % told
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


def _boards_read(last: Taken, board_count: int, look: Look) -> str:
    told = {
        "read": last.boards,
        "count": board_count,
        "day": sizes.day_words(last.last_on, look.dates),
    }
    return _("%(day)s: %(read)d of %(count)d boards") % told


def _counts(counted: Mapping[str, int], words: Mapping[str, str]) -> str:
    """List what was counted; one kind alone needs no number."""
    named = [(_(words.get(word, word)), count) for word, count in counted.items()]
    if len(named) == 1:
        return named[0][0]
    return ", ".join(f"{name} {count}" for name, count in named)


def _meter(meter: MeterUse, look: Look) -> str:
    """Say what a meter is, as far as it is described."""
    if meter.name is None:
        return _("meter not noted")
    said = [meter.name, _(KIND_WORDS.get(meter.kind or "", meter.kind or ""))]
    if meter.kind == "pin":
        said.append(
            _("needle length not noted")
            if meter.needle_mm is None
            else _("needles of %s") % sizes.size_words(meter.needle_mm, look.units)
        )
        if meter.insulated is not None:
            said.append(_("insulated") if meter.insulated else _("bare"))
    return ", ".join(said)


def _in_all(every: Taken) -> str:
    days = _n("%d day", "%d days", every.days) % every.days
    readings = _n("%d reading", "%d readings", every.readings) % every.readings
    boards = _n("%d board", "%d boards", every.boards) % every.boards
    told = {
        "readings": readings,
        "boards": boards,
        "days": days,
        "where": _counts(every.spots, SPOT_WORDS),
    }
    return _("%(readings)s of %(boards)s on %(days)s: %(where)s") % told
