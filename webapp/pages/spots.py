"""Where, how deep and with what a stack's readings were taken, and what they can decide."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from webapp import sizes, wording
from webapp.pages.what_decides import what_decides
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
    said = what_decides(last, spots.board_count, look, once=every.days == 1)
    facts = [
        (_("last round"), _boards_read(last, spots.board_count, look)),
        (_("where"), _counts(last.spots, SPOT_WORDS)),
        (_("how deep"), _counts(last.depths, DEPTH_WORDS)),
        (_("with"), "; ".join(_meter(meter, look) for meter in last.meters)),
        (_("in all"), _in_all(every)),
    ]
    return SpotWords(said, tuple(facts))


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
