"""What a batch did, in words: "added 12 boards, W1 to W12", "moved stack W to Barn"."""

from __future__ import annotations

from typing import TYPE_CHECKING

from webapp import wording
from webapp.pages.history_nouns import COUNTED, column_words, counted, noun, subject_of
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
from webapp.yard.recount import Some

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from webapp.records.record import Record
    from webapp.yard.recount import Recount

_ = wording.translation.gettext
marked = wording.marked

_WRITTEN: Mapping[type[Record], str] = {
    Place: marked("added %s"),
    Meter: marked("described %s"),
    Log: marked("wrote down %s"),
    Stack: marked("set up %s"),
    Board: marked("added %s"),
    WitnessBoard: marked("added %s"),
    Air: marked("wrote down %s"),
    Event: marked("noted %s"),
    Reading: marked("noted %s"),
    Round: marked("noted %s"),
}
# What comes and goes with something greater is told with it.
_PART_OF: Mapping[type[Record], tuple[type[Record], ...]] = {
    Round: (Reading, Stack),
    Air: (Place, Stack),
    Event: (Stack, Board, Log),
}
_OWNERS: Mapping[type[Record], type[Record]] = {
    StackStay: Stack,
    BoardStay: Board,
    PlaceMonth: Place,
}


def what_it_did(told: Recount) -> list[str]:
    """Say what a batch did, a short sentence for each kind of thing."""
    if told.batch.kind in {"import", "demo"}:
        return [_imported(told)]
    return [
        *_written(told),
        *_moved(told),
        *_struck(told.struck),
        *_changed(told),
    ]


def _imported(told: Recount) -> str:
    counts = [counted(told.wrote[kind], kind) for kind in COUNTED if kind in told.wrote]
    # An import of moves alone brings nothing else.
    what = ", ".join(counts) or _("moves")
    if told.batch.kind == "demo":
        return _("made the invented yard: %s") % what
    return _("imported a folder: %s") % what


def _written(told: Recount) -> Iterator[str]:
    for kind, verb in _WRITTEN.items():
        wrote = told.wrote.get(kind)
        if wrote and not any(whole in told.wrote for whole in _PART_OF.get(kind, ())):
            yield _(verb) % noun(wrote, kind) + _day_read(wrote, kind)


def _day_read(wrote: Some, kind: type[Record]) -> str:
    """Tell the day of readings, which need not be the day they were typed."""
    days = {record.read_on for record in wrote.records} if kind is Reading else set()
    return _(", read on %s") % min(days) if len(days) == 1 else ""


def _moved(told: Recount) -> Iterator[str]:
    stacks, boards = told.wrote.get(StackStay), told.wrote.get(BoardStay)
    if stacks and Stack not in told.wrote:
        words = {"what": noun(stacks, Stack), "where": stacks.records[-1].place.name}
        yield _("moved %(what)s to %(where)s") % words
    if boards and Board not in told.wrote:
        last = boards.records[-1]
        words = {"what": noun(boards, Board), "where": last.stack.mark if last.stack else last.why}
        if last.stack:
            yield _("moved %(what)s to stack %(where)s") % words
        elif last.why:
            yield _("took %(what)s out of the stacks: %(where)s") % words
        else:
            yield _("took %(what)s out of the stacks") % words


def _struck(struck: Mapping[type[Record], Some]) -> Iterator[str]:
    for kind in COUNTED:
        some = struck.get(kind)
        if some is None or any(whole in struck for whole in _PART_OF.get(kind, ())):
            continue
        words = {"what": noun(some, kind), "why": some.records[0].struck_why}
        if words["why"]:
            yield _("struck out %(what)s: %(why)s") % words
        else:
            yield _("struck out %(what)s") % words


def _changed(told: Recount) -> Iterator[str]:
    """Tell changes of parts as changes of the whole; the end of a stay is told by the move."""
    changed: dict[type[Record], Some] = {}
    for kind, some in told.changed.items():
        columns = some.columns - {"until_on"}
        owner = _OWNERS.get(kind, kind)
        if columns and owner not in told.struck:
            records = {id(subject): subject for subject in map(_whole, some.records)}
            there = changed.get(owner)
            if there:
                records |= {id(record): record for record in there.records}
                columns |= there.columns
            count = some.count if owner is kind else len(records)
            changed[owner] = Some(max(count, len(records)), tuple(records.values()), columns)
    for kind, some in changed.items():
        what = noun(some, kind) if kind in COUNTED else ""
        yield _("changed %(what)s: %(columns)s") % {
            "what": what,
            "columns": column_words(some.columns),
        }


def _whole(record: Record) -> Record:
    return (type(record) in _OWNERS and subject_of(record)) or record
