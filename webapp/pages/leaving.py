"""Does it pay to leave a stack where it is: the answer in sentences, and its numbers as a table.

Half a point is the least that a keeper would wait or carry for; a meter tells no finer. Above 20 %
no wood is sent into heat, and what goes there goes slowly and without live beetles.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from webapp import wording
from webapp.records.place import PlaceKind
from webapp.yard.weigh_leaving import ROOM_C, ROOM_RH_PCT, weigh_leaving

if TYPE_CHECKING:
    from datetime import date

    from sqlalchemy.orm import Session

    from webapp.records.stack import Stack
    from webapp.yard.weigh_leaving import BoardThen, Leaving, Prospect

_ = wording.translation.gettext

LEAST_GAIN_PCT = 0.5
HEAT_BELOW_PCT = 20.0
# An inch and a half: from here on a board shows checks before it shows the gain (common practice,
# no source).
THICK_MM = 38.0
FINE_POINTS = 5.0
SAME_TIME = timedelta(days=10)


@dataclass(frozen=True)
class Cell:
    """What one board would hold."""

    moisture: str
    likely: str


@dataclass(frozen=True)
class Row:
    """What may be done, and what the middle and the wettest board would hold then."""

    name: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class LeavingWords:
    """The answer, what else is to be said, and the numbers."""

    answer: str
    more: tuple[str, ...]
    notes: tuple[str, ...]
    heads: tuple[str, ...]
    rows: tuple[Row, ...]


def leaving_words(session: Session, stack: Stack, as_of: date) -> LeavingWords | None:
    """Say whether it pays to leave a stack; nothing where no board lies in it."""
    weighed = weigh_leaving(session, stack, as_of)
    return said_of(weighed, stack.use) if weighed else None


def said_of(weighed: Leaving, use: str | None = None) -> LeavingWords:
    """Put what was weighed into words."""
    answer, *rest = _here(weighed, use)
    middle, wettest = weighed.driest.middle, weighed.driest.wettest
    heads = [_("wettest board, %s") % wettest.mark]
    if middle.mark != wettest.mark:
        heads.insert(0, _("middle board, %s") % middle.mark)
    more = tuple(" ".join(said) for said in (rest, _elsewhere(weighed, use)) if said)
    return LeavingWords(answer, more, tuple(_notes(weighed)), tuple(heads), tuple(_rows(weighed)))


def _here(weighed: Leaving, use: str | None) -> list[str]:
    """Say what leaving it brings."""
    best = weighed.mended or weighed.driest
    said = [_as_it_stands(weighed)] if weighed.mended else []
    said.append(_gain(best, weighed))
    if best is weighed.driest and _comes_back(weighed):
        again = {"then": _about(weighed.year_on.middle.moisture_pct)}
        back = _("Most of that it takes up again: a year from today it would be at %(then)s.")
        indoors = weighed.kind in {PlaceKind.HEATED, PlaceKind.CHAMBER}
        said += [
            back % again,
            _("Use it, or wrap it, at its driest.")
            if indoors
            else _("Use it, or bring it in, at its driest."),
        ]
    return said + _enough(best, weighed, use, _("At its driest here"))


def _as_it_stands(weighed: Leaving) -> str:
    """Say what it comes to if what is wrong is left as well."""
    off_pct = weighed.driest.middle.off_pct
    if weighed.year_on.middle.off_pct < -LEAST_GAIN_PCT:
        return _("As it stands, it only gets wetter here: first mend what is wrong.")
    if off_pct < LEAST_GAIN_PCT:
        return _("As it stands, leaving it here gains nothing: first mend what is wrong.")
    said = _("As it stands, leaving it here would take only %s off: first mend what is wrong.")
    return said % _points(off_pct)


def _gain(best: Prospect, weighed: Leaving) -> str:
    """Say how much it takes off, to where and by when."""
    middle, wettest = best.middle, best.wettest
    told = {
        "leaving": _name_of(weighed),
        "off": _points(middle.off_pct),
        "then": _range(middle),
        "by": wording.part_of_month(best.on, weighed.as_of),
        "wettest": wettest.mark,
        "most": _points(wettest.off_pct),
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


def _enough(then: Prospect, weighed: Leaving, use: str | None, when: str) -> list[str]:
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


def _elsewhere(weighed: Leaving, use: str | None) -> list[str]:
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
        said += _enough(best, weighed, use, _("After six weeks there"))
    elif weighed.elsewhere and not too_wet:
        said.append(_("Six weeks in any other place of this yard would take off no more."))
    if len(fit) < len(every):
        said.append(_too_wet(weighed.six_weeks))
    return said


def _needs_no_more(weighed: Leaving) -> bool:
    """Whether even the wettest board is likely as dry as it is to be."""
    target_pct = weighed.target_pct
    return target_pct is not None and weighed.driest.wettest.now_pct <= target_pct


def _too_wet(here: Prospect) -> str:
    """Keep wet wood out of the heat."""
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
        "off": _points(middle.off_pct),
        "then": _range(middle),
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


def _notes(weighed: Leaving) -> list[str]:
    """Say what the numbers rest on where that is not plain."""
    notes = []
    if weighed.assumed:
        told = {
            "warm": f"{ROOM_C:g}",
            "humid": f"{ROOM_RH_PCT:g}",
            "ends": wording.percent(weighed.room_pct),
        }
        notes.append(
            _(
                "This yard has no heated place; we assumed a room at %(warm)s °C and %(humid)s %% "
                "humidity all year, where wood ends at about %(ends)s."
            )
            % told
        )
    if not weighed.read:
        notes.append(_("Not read yet: this goes by wood, thickness and air alone."))
    return notes


def _rows(weighed: Leaving) -> list[Row]:
    """Lay the numbers out, those of here first."""
    by = wording.part_of_month(weighed.driest.on, weighed.as_of)
    rows = [
        Row(_("today"), tuple(Cell(wording.level(b.now_pct), "") for b in _two(weighed.driest)))
    ]
    rows.append(_row(_("in six weeks, here"), weighed.six_weeks))
    if weighed.as_of < weighed.driest.on < weighed.year_on.on - SAME_TIME:
        rows.append(_row(_("at its driest here, %s") % by, weighed.driest))
    rows.append(_row(_("a year from today, here"), weighed.year_on))
    if weighed.mended:
        by = wording.part_of_month(weighed.mended.on, weighed.as_of)
        rows.append(_row(_("mended, at its driest here, %s") % by, weighed.mended))
    rows += [_row(_("after six weeks in %s") % there.place, there) for there in weighed.elsewhere]
    if weighed.assumed:
        rows.append(_row(_("after six weeks in a heated room"), weighed.assumed))
    return rows


def _row(name: str, then: Prospect) -> Row:
    return Row(name, tuple(_cell(board) for board in _two(then)))


def _two(then: Prospect) -> tuple[BoardThen, ...]:
    """The middle and the wettest board; one where they are the same."""
    return (then.wettest,) if then.middle.mark == then.wettest.mark else (then.middle, then.wettest)


def _cell(board: BoardThen) -> Cell:
    likely = "" if board.low_pct > wording.WETTEST_TOLD_PCT else _between(board)
    return Cell(wording.level(board.moisture_pct), likely)


def _between(board: BoardThen) -> str:
    """Say between what a board likely is; no finer than that is known."""
    low, high = f"{board.low_pct:.0f}", f"{board.high_pct:.0f}"
    if board.high_pct > wording.WETTEST_TOLD_PCT:
        return _("%s %% or more") % low
    return _("%(low)s to %(high)s %%") % {"low": low, "high": high}


def _points(off_pct: float) -> str:
    """Say a loss as people say it: by halves, and whole where it is much."""
    step = 1.0 if off_pct >= FINE_POINTS else 2.0
    rounded = round(off_pct * step) / step
    half = rounded == 0.5  # noqa: PLR2004  a half
    return _("about half a point") if half else _("about %s") % wording.points(rounded)


def _about(pct: float) -> str:
    return _("about %s") % f"{pct:.0f} %"


def _range(board: BoardThen) -> str:
    """Say where a board would be, and between what it likely is."""
    return f"{_about(board.moisture_pct)} ({_between(board)})"
