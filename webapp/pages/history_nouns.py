"""Records named for the history page: "board W7", "12 boards, W1 to W12", and their columns."""

from __future__ import annotations

from typing import TYPE_CHECKING

from webapp import wording
from webapp.records import (
    Air,
    Board,
    BoardStay,
    Event,
    Log,
    Meter,
    Place,
    PlaceMonth,
    Reading,
    Round,
    Stack,
    StackStay,
    WitnessBoard,
)
from webapp.yard.naming import mark_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from webapp.records.record import Record
    from webapp.yard.recount import Some

_ = wording.translation.gettext
_n = wording.translation.ngettext
marked = wording.marked

_LISTED = 3
# One record with its mark; so many counted; so many with their marks.
_NOUNS: Mapping[type[Record], tuple[str, str, str]] = {
    Place: (marked("place %(marks)s"), marked("%(num)d place"), marked("%(num)d places")),
    Meter: (marked("meter %(marks)s"), marked("%(num)d meter"), marked("%(num)d meters")),
    Log: (marked("log %(marks)s"), marked("%(num)d log"), marked("%(num)d logs")),
    Stack: (marked("stack %(marks)s"), marked("%(num)d stack"), marked("%(num)d stacks")),
    Board: (marked("board %(marks)s"), marked("%(num)d board"), marked("%(num)d boards")),
    WitnessBoard: (
        marked("witness board %(marks)s"),
        marked("%(num)d witness board"),
        marked("%(num)d witness boards"),
    ),
    Air: (
        marked("a record of the air at %(marks)s"),
        marked("%(num)d record of the air"),
        marked("%(num)d records of the air"),
    ),
    Round: (marked("a round of %(marks)s"), marked("%(num)d round"), marked("%(num)d rounds")),
    Reading: (
        marked("reading %(shown)s of %(marks)s"),
        marked("%(num)d reading"),
        marked("%(num)d readings"),
    ),
    Event: (
        marked("“%(shown)s” of %(marks)s"),
        marked("%(num)d event"),
        marked("%(num)d events"),
    ),
}
COUNTED = tuple(_NOUNS)
_SHOWN: Mapping[type[Record], str] = {Reading: "shown", Event: "kind"}

_COLUMNS = {
    "mark": marked("mark"),
    "name": marked("name"),
    "kind": marked("kind"),
    "air_of": marked("whose air it is"),
    "rh_pct": marked("humidity"),
    "temperature_c": marked("temperature"),
    "scale": marked("scale"),
    "temperature": marked("whether it allows for temperature"),
    "over_range_pct": marked("highest it can show"),
    "under_range_pct": marked("lowest it can show"),
    "needle_mm": marked("needles"),
    "insulated": marked("needles"),
    "stickers_mm": marked("stickers"),
    "spacing_mm": marked("stickers"),
    "kept_as": marked("how it is kept"),
    "held_by": marked("what holds it"),
    "board_count": marked("number of boards"),
    "target_pct": marked("target"),
    "use": marked("use"),
    "visit_days": marked("days between rounds"),
    "species": marked("species"),
    "thickness_mm": marked("thickness"),
    "width_mm": marked("width"),
    "width_end_mm": marked("width"),
    "length_mm": marked("length"),
    "diameter_mm": marked("thickness"),
    "grain": marked("how it was sawn"),
    "sawn_on": marked("when it was sawn"),
    "log_id": marked("log"),
    "turn": marked("turn in the log"),
    "borate": marked("borate"),
    "from_on": marked("when it was stacked"),
    "place_id": marked("place"),
    "known_dry_since": marked("since when it is dry"),
}


def noun(some: Some, kind: type[Record]) -> str:
    """Name records: the one there is, or how many and which."""
    subjects = [subject_of(record) for record in some.records]
    marks = list(dict.fromkeys(mark_of(subject) or "" for subject in subjects if subject))
    listed = ", ".join(marks)
    if marks and (len(marks) > _LISTED or some.count > len(some.records)):
        listed = _("%(first)s to %(last)s") % {"first": marks[0], "last": marks[-1]}
        listed = marks[0] if marks[0] == marks[-1] else listed
    if some.count == 1:
        shown = getattr(some.records[0], _SHOWN.get(kind, "uid"))
        return _(_NOUNS[kind][0]) % {"marks": listed, "shown": shown}
    return _("%(count)s, %(marks)s") % {"count": counted(some, kind), "marks": listed}


def counted(some: Some, kind: type[Record]) -> str:
    """Count records: "3 stacks"."""
    _one, singular, plural = _NOUNS[kind]
    return _n(singular, plural, some.count) % {"num": some.count}


def subject_of(record: Record) -> Record | None:
    """Bring the board, stack or place that a record is about; most are about themselves."""
    if isinstance(record, BoardStay):
        return record.board
    if isinstance(record, StackStay | Round):
        return record.stack
    if isinstance(record, Reading):
        return record.board or record.witness_board
    if isinstance(record, Event):
        return record.log or record.board or record.stack
    return record.place if isinstance(record, PlaceMonth | Air) else record


def column_words(columns: frozenset[str]) -> str:
    """Name what was changed, each thing once."""
    words = [_(word) for column, word in _COLUMNS.items() if column in columns]
    words += [_("note")] if columns - _COLUMNS.keys() else []
    return ", ".join(dict.fromkeys(words))
