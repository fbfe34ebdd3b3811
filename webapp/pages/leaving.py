"""Does it pay to leave a stack where it is: the answer in sentences, and its numbers as a table.

Half a point is the least that a keeper would wait or carry for; a meter tells no finer.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from webapp import wording
from webapp.entry.temperatures import temperature_text
from webapp.look import Units
from webapp.pages.leaving_elsewhere import LEAST_GAIN_PCT, elsewhere, enough
from webapp.pages.leaving_table import about, points_words, range_words, rows_of
from webapp.records.place import PlaceKind
from webapp.yard.weigh_leaving import ROOM_C, ROOM_RH_PCT, weigh_leaving

if TYPE_CHECKING:
    from datetime import date

    from sqlalchemy.orm import Session

    from webapp.pages.leaving_table import Row
    from webapp.records.stack import Stack
    from webapp.yard.weigh_leaving import Leaving, Prospect

_ = wording.translation.gettext


@dataclass(frozen=True)
class LeavingWords:
    """The answer, what else is to be said, and the numbers."""

    answer: str
    more: tuple[str, ...]
    notes: tuple[str, ...]
    heads: tuple[str, ...]
    rows: tuple[Row, ...]


def leaving_words(session: Session, stack: Stack, as_of: date, units: Units) -> LeavingWords | None:
    """Say whether it pays to leave a stack; nothing where no board lies in it."""
    weighed = weigh_leaving(session, stack, as_of)
    return said_of(weighed, stack.use, units) if weighed else None


def said_of(weighed: Leaving, use: str | None = None, units: Units = Units.METRIC) -> LeavingWords:
    """Put what was weighed into words."""
    answer, *rest = _here(weighed, use)
    middle, wettest = weighed.driest.middle, weighed.driest.wettest
    heads = [_("wettest board, %s") % wettest.mark]
    if middle.mark != wettest.mark:
        heads.insert(0, _("middle board, %s") % middle.mark)
    more = tuple(" ".join(said) for said in (rest, elsewhere(weighed, use)) if said)
    return LeavingWords(
        answer, more, tuple(_notes(weighed, units)), tuple(heads), tuple(rows_of(weighed))
    )


def _here(weighed: Leaving, use: str | None) -> list[str]:
    """Say what leaving it brings."""
    best = weighed.mended or weighed.driest
    said = [_as_it_stands(weighed)] if weighed.mended else []
    said.append(_gain(best, weighed))
    if best is weighed.driest and _comes_back(weighed):
        again = {"then": about(weighed.year_on.middle.moisture_pct)}
        back = _("Most of that it takes up again: a year from today it would be at %(then)s.")
        indoors = weighed.kind in {PlaceKind.HEATED, PlaceKind.CHAMBER}
        said += [
            back % again,
            _("Use it, or wrap it, at its driest.")
            if indoors
            else _("Use it, or bring it in, at its driest."),
        ]
    return said + enough(best, weighed, use, _("At its driest here"))


def _as_it_stands(weighed: Leaving) -> str:
    """Say what it comes to if what is wrong is left as well."""
    off_pct = weighed.driest.middle.off_pct
    if weighed.year_on.middle.off_pct < -LEAST_GAIN_PCT:
        return _("As it stands, it only gets wetter here: first mend what is wrong.")
    if off_pct < LEAST_GAIN_PCT:
        return _("As it stands, leaving it here gains nothing: first mend what is wrong.")
    said = _("As it stands, leaving it here would take only %s off: first mend what is wrong.")
    return said % points_words(off_pct)


def _gain(best: Prospect, weighed: Leaving) -> str:
    """Say how much it takes off, to where and by when."""
    middle, wettest = best.middle, best.wettest
    told = {
        "leaving": _name_of(weighed),
        "off": points_words(middle.off_pct),
        "then": range_words(middle),
        "by": wording.part_of_month(best.on, weighed.as_of),
        "wettest": wettest.mark,
        "most": points_words(wettest.off_pct),
    }
    if middle.moisture_pct > wording.WETTEST_TOLD_PCT:
        return _("Leave it: it will likely be over 30 %% still by %(by)s.") % told
    if middle.now_pct > wording.WETTEST_TOLD_PCT:
        return _("%(leaving)s would take it from over 30 %% to %(then)s, by %(by)s.") % told
    if middle.off_pct >= LEAST_GAIN_PCT:
        return _("%(leaving)s would take %(off)s off, to %(then)s, by %(by)s.") % told
    if wettest.off_pct >= LEAST_GAIN_PCT:
        return (
            _(
                "%(leaving)s would take less than half a point off the middle board, but "
                "%(most)s off the wettest, %(wettest)s."
            )
            % told
        )
    if weighed.summer_ahead:
        return _(
            "Leaving it here gains nothing more: another summer takes off less than half a point."
        )
    return _("Leaving it here gains nothing more: a whole year takes off less than half a point.")


def _name_of(weighed: Leaving) -> str:
    """Name what is done by leaving it."""
    if weighed.mended:
        return (
            _("With that mended, another summer here")
            if weighed.summer
            else _("With that mended, leaving it here")
        )
    return _("Another summer here") if weighed.summer else _("Leaving it here")


def _comes_back(weighed: Leaving) -> bool:
    """Whether most of what is gained by the driest day is lost again within the year."""
    gain_pct = weighed.driest.middle.off_pct
    return gain_pct >= LEAST_GAIN_PCT and weighed.year_on.middle.off_pct < gain_pct / 2.0


def _notes(weighed: Leaving, units: Units) -> list[str]:
    """Say what the numbers rest on where that is not plain."""
    notes = []
    if weighed.assumed:
        told = {
            "warm": temperature_text(ROOM_C, units),
            "humid": f"{ROOM_RH_PCT:g}",
            "ends": wording.percent(weighed.room_pct),
        }
        notes.append(
            _(
                "This yard has no heated place; we assumed a room at %(warm)s and %(humid)s %% "
                "humidity all year, where wood ends at about %(ends)s."
            )
            % told
        )
    if not weighed.read:
        notes.append(_("Not read yet: this goes by wood, thickness and air alone."))
    return notes
