"""From reason codes and numbers to sentences for people, through gettext.

Sentences begin without naming their subject, so that each serves a board and a stack alike. They
are written for somebody beside a stack: plain words, no statistics.
"""

from __future__ import annotations

import gettext
import math
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from webapp.drying.verdict import Fit, State
from webapp.wood.uses import use_named

if TYPE_CHECKING:
    from collections.abc import Mapping

TRANSLATIONS = Path(__file__).parent / "translations"
translation = gettext.translation("flitchbook", TRANSLATIONS, fallback=True)
_ = translation.gettext
_n = translation.ngettext

EPOCH = date(1970, 1, 1)
SOON_DAYS = 330  # a month further off than this is told with its year
FINE_BELOW_PCT = 20.0  # above this a tenth of a point of moisture is false precision
WETTEST_TOLD_PCT = 30.0  # about fibre saturation; above it a meter only tells "wet"
SMALLEST_CHANGE = 0.05  # half of the tenth of a point that is printed
CERTAIN_OF_100 = 99


def marked(message: str) -> str:
    """Mark a message for the collectors of translations; it is translated where it is said."""
    return message


@dataclass(frozen=True)
class Reason:
    """What is said for one reason code, and what to do next; of a trouble its cause in brief."""

    sentence: str
    next_step: str
    cause: str = ""


_DRYING = marked(
    "Drying: about %(moisture_pct)s, losing %(per_month_pct)s a month, "
    "%(still_to_lose_pct)s still to lose."
)
_TO_DRIER_AIR = marked(
    "Below 20 %%, only drier air takes it further, such as a heated room: go slowly with thick "
    "boards, which check, and carry no live beetles in."
)
_LOOK_FOR_DAMP = marked("Look for damp: a leak, a wet cover, wet ground below, or wet wood beside.")
_LOOK_FOR_DAMP_INDOORS = marked(
    "Look for damp: a leak, a wet floor or wall, wet wood in the same room, heating turned off."
)
_BEYOND_THIS_ROOM = marked(
    "This room takes it no lower. Warmer, drier air would: go slowly with thick boards, "
    "which check."
)

REASONS: Mapping[str, Reason] = {
    "no_reading": Reason(
        marked("Not read yet."),
        marked("Read it on the next round."),
    ),
    "one_reading": Reason(
        marked("Read only once: %(last_pct)s, %(days)s."),
        marked("Read it again about a month after the first time."),
    ),
    "doubtful": Reason(
        marked(
            "The last reading, %(last_pct)s, does not fit the ones before; "
            "about %(expected_pct)s was expected."
        ),
        marked("Read it again: three pushes of the meter, a hand's width apart."),
    ),
    "long_unread": Reason(
        marked("Not read for a long time: %(last_pct)s, %(days)s."),
        marked("Read it on the next round, and look at cover, ground and air."),
    ),
    "over_range": Reason(
        marked(
            "Over the meter's range of %(limit_pct)s when last read, %(days)s: "
            "no meter can tell how wet."
        ),
        marked("Keep the ends sealed and the roof on; weigh a board to see it dry."),
    ),
    "wet": Reason(
        marked("Still wet: about %(moisture_pct)s, more than a meter can tell well."),
        marked("Keep the ends sealed and the roof on; look weekly in the first weeks."),
    ),
    "drying": Reason(_DRYING, marked("Nothing to do until the next monthly round.")),
    "drying_no_target_soon": Reason(
        marked(
            "Drying: about %(moisture_pct)s, losing %(per_month_pct)s a month, "
            "%(still_to_lose_pct)s still to lose; too slow for a date yet."
        ),
        marked("Nothing to do until the next monthly round; more readings will bring a date."),
    ),
    "drying_out_of_reach": Reason(
        marked(
            "Drying: about %(moisture_pct)s, losing %(per_month_pct)s a month; this place takes "
            "it to about %(lowest_pct)s and no lower, not to %(target_pct)s."
        ),
        _TO_DRIER_AIR,
    ),
    "nearly_there": Reason(
        marked(
            "Nearly there: about %(moisture_pct)s, %(still_to_lose_pct)s still to lose; "
            "not yet sure that it has stopped."
        ),
        marked("Read it on the next monthly round, with the same meter at the same spots."),
    ),
    "slow_season": Reason(
        marked(
            "Flat at about %(moisture_pct)s because of the season, with %(still_to_lose_pct)s "
            "still to lose; it moves again by itself about %(moves_on)s."
        ),
        marked("Leave it; the season will move it."),
    ),
    "stalled_airflow": Reason(
        marked(
            "Hardly moved since %(since)s: lost %(seen_fall_pct)s where this season should have "
            "taken %(expected_fall_pct)s, with %(still_to_lose_pct)s still to lose. "
            "Likely too little air goes through."
        ),
        marked("Look for what blocks the air: a cover too low, sticks out of line, weeds, a wall."),
        marked("since %(since)s; likely too little air goes through"),
    ),
    "stalled_damp": Reason(
        marked(
            "Held up since %(since)s: lost %(seen_fall_pct)s where this season should have "
            "taken %(expected_fall_pct)s, with %(still_to_lose_pct)s still to lose. "
            "Likely it stands in damper air than this place should have."
        ),
        _LOOK_FOR_DAMP,
        marked("since %(since)s; likely it stands in damper air than it should"),
    ),
    "levelled_off": Reason(
        marked(
            "Stopped moving at about %(moisture_pct)s, about what we expect here "
            "(%(equilibrium_pct)s); right about %(probability)s times in 100."
        ),
        marked(
            "As dry as it gets here. Use it as air-dry, or move it to drier air, "
            "slowly if it is thick."
        ),
    ),
    "getting_wetter": Reason(
        marked(
            "Rising since %(since)s: up %(rise_pct)s, where the season alone explains "
            "%(expected_rise_pct)s."
        ),
        marked("Look soon for water getting in: a leak, a slipped cover, splash, wet ground."),
        marked("up %(rise_pct)s since %(since)s; likely water gets in"),
    ),
    "drier_than_place": Reason(
        marked(
            "Drier, at about %(moisture_pct)s, than this place keeps wood (%(equilibrium_pct)s): "
            "it takes up moisture here."
        ),
        marked("Wrap it, or bring it where it will be used."),
    ),
    "out_of_reach": Reason(
        marked("This place takes it to about %(lowest_pct)s and no lower, not to %(target_pct)s."),
        _TO_DRIER_AIR,
    ),
}

STATE_WORDS: Mapping[State, str] = {
    State.WET: marked("wet"),
    State.DRYING: marked("drying"),
    State.SLOW_SEASON: marked("slow season"),
    State.STALLED: marked("stalled"),
    State.LEVELLED_OFF: marked("levelled off"),
    State.GETTING_WETTER: marked("getting wetter"),
    State.READ_AGAIN: marked("read again"),
}

STATE_MEANINGS: Mapping[State, str] = {
    State.GETTING_WETTER: marked("Rising more than the season explains. Look for a leak."),
    State.STALLED: marked("Flat where this season should let it dry. Look at air, cover, ground."),
    State.LEVELLED_OFF: marked("Where this place takes it. It is as dry as it gets here."),
    State.SLOW_SEASON: marked("Flat because it is cold or damp. It will move by itself."),
    State.WET: marked("Wetter than a meter can tell. Seal the ends, keep the rain off."),
    State.DRYING: marked("Falling towards what this place allows. Nothing to do but wait."),
    State.READ_AGAIN: marked("Too few readings, or doubtful ones. Read it again."),
}

# What differs indoors, where there is neither rain nor weeds, and where it is heated already.
NEXT_INDOORS: Mapping[str, str] = {
    "over_range": marked("Keep the ends sealed; weigh a board to see it dry."),
    "wet": marked("Keep the ends sealed; look weekly in the first weeks."),
    "stalled_airflow": marked(
        "Look for what blocks the air: sheeting over it, sticks out of line, a wall or boards "
        "leaning close."
    ),
    "stalled_damp": _LOOK_FOR_DAMP_INDOORS,
    "getting_wetter": marked(
        "Look soon for water getting in: a leak, a wet floor or wall, heating turned off."
    ),
    "long_unread": marked("Read it on the next round, and look at the air of the room."),
}
NEXT_HEATED: Mapping[str, str] = {
    "drying_out_of_reach": _BEYOND_THIS_ROOM,
    "out_of_reach": _BEYOND_THIS_ROOM,
    "levelled_off": marked("As dry as it gets here. Use it, or wrap it so that it stays so."),
}
OUT_OF_REACH = frozenset({"drying_out_of_reach", "out_of_reach"})
_INDOORS = frozenset({"unheated", "heated", "chamber"})
_HEATED = frozenset({"heated", "chamber"})

_MONTHS = (
    marked("January"),
    marked("February"),
    marked("March"),
    marked("April"),
    marked("May"),
    marked("June"),
    marked("July"),
    marked("August"),
    marked("September"),
    marked("October"),
    marked("November"),
    marked("December"),
)
_PARTS = (marked("early %(month)s"), marked("mid %(month)s"), marked("late %(month)s"))

_CHANGES = {
    "still_to_lose_pct",
    "per_month_pct",
    "expected_fall_pct",
    "seen_fall_pct",
    "rise_pct",
    "expected_rise_pct",
}
_DAYS = {"since", "moves_on"}


def language() -> str:
    """Return the language we speak, as a page names it."""
    return translation.info().get("language", "en")


def reason_sentence(reason: str, numbers: Mapping[str, float | str], as_of: date) -> str:
    """Say why a board or stack is in its state, in one sentence with its numbers."""
    return _(REASONS[reason].sentence) % _spoken(numbers, as_of)


def likely_cause(reason: str, numbers: Mapping[str, float | str], as_of: date) -> str:
    """Say what is likely behind a trouble, as short as a line; of no trouble, its sentence."""
    said = REASONS[reason]
    return _(said.cause or said.sentence) % _spoken(numbers, as_of)


def next_step(reason: str, place_kind: str | None = None) -> str:
    """Say what the keeper does next, at a kind of place."""
    step = REASONS[reason].next_step
    if place_kind in _INDOORS:
        step = NEXT_INDOORS.get(reason, step)
    if place_kind in _HEATED:
        step = NEXT_HEATED.get(reason, step)
    return _(step).replace("%%", "%")


def state_word(state: State) -> str:
    """Return the word of a state."""
    return _(STATE_WORDS[state])


def state_meaning(state: State) -> str:
    """Return what a state means, in one line."""
    return _(STATE_MEANINGS[state])


def percent(value: float) -> str:
    """Return a moisture content as people say it: tenths only where they mean something."""
    if math.isnan(value):
        return _("an unknown moisture")
    digits = 0 if value >= FINE_BELOW_PCT else 1
    return f"{_plain(value, digits)} %"


def reading_percent(value: float) -> str:
    """Return a single reading, with the tenths that the meter shows."""
    return f"{value:.1f} %"


def level(value: float) -> str:
    """Return a moisture content for a list: above what meters tell, no number is claimed."""
    return _("over %d %%") % WETTEST_TOLD_PCT if value > WETTEST_TOLD_PCT else percent(value)


def percent_range(low: float, high: float) -> str:
    """Return a range of moisture content, both ends as fine as the higher is known."""
    digits = 0 if high >= FINE_BELOW_PCT else 1
    return f"{_plain(low, digits)} – {_plain(high, digits)} %"


def points(value: float) -> str:
    """Return a change of moisture content in points."""
    if math.isnan(value):
        return _("an unknown amount")
    if value < SMALLEST_CHANGE:
        return _("next to nothing")
    said = _plain(value, 1)
    return _n("%s point", "%s points", 1 if said == "1" else 2) % said


def days_ago(days: float) -> str:
    """Return how long ago something was."""
    count = round(days)
    if count <= 0:
        return _("today")
    return _n("%d day ago", "%d days ago", count) % count


def use_words(target_pct: float, use: str | None = None) -> str:
    """Name what wood is dried for: "a heated room (8 %)"; no use of ours: its percent alone."""
    target, known = percent(target_pct), use_named(use)
    if known is None:
        return target
    return _("%(use)s (%(target)s)") % {"use": _(known.fit_for), "target": target}


def fit_words(
    fit: Fit, target_pct: float | None, use: str | None = None, moisture_pct: float = math.nan
) -> str:
    """Say what wood is fit for; the use is always named."""
    if target_pct is None:
        return {
            Fit.YES: air_dry_words(moisture_pct),
            Fit.NO: _("not yet as dry as it gets here"),
            Fit.UNKNOWN: _("too early to say"),
        }[fit]
    target = use_words(target_pct, use)
    return {
        Fit.YES: _("fit for %s") % target,
        Fit.NO: _("not yet fit for %s") % target,
        Fit.UNKNOWN: _("not sure yet for %s") % target,
    }[fit]


def air_dry_words(low_pct: float, high_pct: float | None = None) -> str:
    """Say that wood has levelled off and where; of several boards from the driest on."""
    if not math.isfinite(low_pct):
        return _("levelled off, air-dry")
    if high_pct is None or percent(low_pct) == percent(high_pct):
        return _("levelled off at %s, air-dry") % percent(low_pct)
    return _("levelled off at %s, air-dry") % percent_range(low_pct, high_pct)


def stack_fit(
    boards_fit: int, boards_read: int, board_count: int, leave: list[str], for_what: str = ""
) -> str:
    """Say how much of a stack is fit and for what, and which boards to leave."""
    said = []
    if boards_fit:
        counted = {"fit": boards_fit, "count": board_count, "use": for_what}
        said.append(
            (_("%(fit)d of %(count)d fit for %(use)s") % counted)
            if for_what
            else _("%(fit)d of %(count)d levelled off") % counted
        )
        if leave and boards_fit + len(leave) >= boards_read:
            said.append(_("leave %s") % ", ".join(leave))
    unread = board_count - boards_read
    if unread > 0:
        said.append(
            _("%(read)d read, %(unread)d not read") % {"read": boards_read, "unread": unread}
        )
    return "; ".join(said)


def outlook_words(
    state: State,
    fit: Fit,
    target: str,
    ready: tuple[date | None, date | None],
    as_of: date,
    *,
    in_reach: bool = True,
    read: bool = True,
) -> str:
    """Say when wood should be there, or that it is; no date where its state allows none.

    ``target`` is what it is dried for as `use_words` names it, empty for as dry as it gets here.
    """
    if not read:
        return _("no date till it is read")
    if state in _NO_DATE:
        return _("fit for %s so far") % target if fit is Fit.YES and target else _(_NO_DATE[state])
    if target and fit is Fit.YES:
        return _("fit for %s") % target
    if not target and (fit is Fit.YES or state is State.LEVELLED_OFF):
        return _("air-dry")
    if target and not in_reach:
        return _("%s is out of reach here") % target
    return ready_words(*ready, as_of, still=fit is not Fit.NO)


_NO_DATE: Mapping[State, str] = {
    State.READ_AGAIN: marked("no date till it is read again"),
    State.GETTING_WETTER: marked("no date while it gets wetter"),
    State.STALLED: marked("no date while it is stalled"),
}


def ready_words(
    from_on: date | None, to_on: date | None, as_of: date, *, still: bool = True
) -> str:
    """Say when wood should be ready: "late May to July"; not ``still``: it rose again since."""
    if from_on is None:
        return _("not in sight")
    if to_on is None:
        ahead = from_on > as_of
        return (
            _("%s or later") % part_of_month(from_on, as_of) if ahead else _("now at the earliest")
        )
    if to_on <= as_of:
        said = _("since %s") if still else _("reached in %s, wetter since")
        return said % month_name(to_on, as_of)
    if from_on <= as_of:
        return _("by %s") % part_of_month(to_on, as_of)
    return _span_words(from_on, to_on, as_of)


def _span_words(from_on: date, to_on: date, as_of: date) -> str:
    if (from_on.year, from_on.month) == (to_on.year, to_on.month):
        return part_of_month(from_on, as_of)
    years = from_on.year != to_on.year
    start = part_of_month(from_on, as_of, with_year=years)
    # "Late November to January" cannot be mistaken; where the end is far, both name their year.
    if years and _far(to_on, as_of) and not _far(from_on, as_of):
        start = f"{start} {from_on.year}"
    return _("%(start)s to %(end)s") % {"start": start, "end": month_name(to_on, as_of)}


def part_of_month(day: date, as_of: date, *, with_year: bool = True) -> str:
    """Return a day as early, mid or late in its month."""
    third = min((day.day - 1) // 10, 2)
    return _(_PARTS[third]) % {"month": month_name(day, as_of, with_year=with_year)}


def month_name(day: date, as_of: date, *, with_year: bool = True) -> str:
    """Return a day's month, with its year where it could be mistaken."""
    name = _(_MONTHS[day.month - 1])
    return f"{name} {day.year}" if with_year and _far(day, as_of) else name


def _far(day: date, as_of: date) -> bool:
    return abs((day - as_of).days) > SOON_DAYS


def month_word(number: int) -> str:
    """Return the name of a month, 1 to 12."""
    return _(_MONTHS[number - 1])


def day_of(days: float) -> date | None:
    """Turn days since 1970 into a date; none where the number names no day."""
    return EPOCH + timedelta(days=math.floor(days)) if math.isfinite(days) else None


def _spoken(numbers: Mapping[str, float | str], as_of: date) -> dict[str, str]:
    return {
        name: value if isinstance(value, str) else _spoken_number(name, value, as_of)
        for name, value in numbers.items()
    }


def _spoken_number(name: str, value: float, as_of: date) -> str:
    if name in _DAYS:
        day = day_of(value)
        return part_of_month(day, as_of) if day else _("a day we cannot tell")
    if name == "days":
        return days_ago(value)
    if name == "probability":
        return str(min(math.floor(100 * value), CERTAIN_OF_100))
    return points(value) if name in _CHANGES else percent(value)


def _plain(value: float, digits: int) -> str:
    return f"{value:.{digits}f}".removesuffix(".0")
