"""Log a reading of a board or a witness board, hit by hit, in the round of that stack and day."""

from collections.abc import Mapping
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from uuid import UUID, uuid5

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.entry.reading_form import ReadingEntry
from webapp.problems import Conflict, Refused
from webapp.records.batch import Batch
from webapp.records.board import Board, board_marked, stack_of, stays_of_board
from webapp.records.meter import Meter, meter_named
from webapp.records.reading import Reading
from webapp.records.round import Round, round_marked, rounds_of
from webapp.records.stack import Stack
from webapp.records.witness_board import witness_board_marked
from webapp.yard.checks import day_that_came, known, uid_or_new

# A round is looked for on its day in any time zone.
_HALF_DAY = timedelta(hours=12)


def log_reading(session: Session, batch: Batch, entry: ReadingEntry) -> list[Reading]:
    """Write down a reading of a board, one record a hit; the same reading sent twice is kept once.

    Raises NotFound for an unknown board or meter, Refused before stacking, in the future or
    while the board lay in no stack, Conflict if its id already names another reading.
    """
    board = known(board_marked(session, entry.board), "board", entry.board)
    day_that_came(batch, entry.read_on, "A reading")
    stack = stack_of(session, board, entry.read_on)
    if stack is None:
        raise Refused(_why_not(session, board, entry.read_on))
    there = _already_there(session, entry, {"board_id": board.id})
    if there:
        return there
    meter = _meter(session, entry)
    visit = _round(session, batch, stack, entry)
    return _write(session, batch, entry, {"board": board, "meter": meter, "round": visit})


def log_witness_reading(session: Session, batch: Batch, entry: ReadingEntry) -> list[Reading]:
    """Write down a reading of a witness board, one record a hit; raises as log_reading does."""
    witness = known(witness_board_marked(session, entry.board), "witness board", entry.board)
    day_that_came(batch, entry.read_on, "A reading")
    there = _already_there(session, entry, {"witness_board_id": witness.id})
    if there:
        return there
    subject = {"witness_board": witness, "meter": _meter(session, entry)}
    return _write(session, batch, entry, subject)


def _why_not(session: Session, board: Board, day: date) -> str:
    stays = stays_of_board(session, board)
    if stays and day < stays[0].from_on:
        return f"“{board.mark}” was stacked on {stays[0].from_on}; a reading of {day} is earlier."
    return f"“{board.mark}” lay in none of the yard's stacks on {day}."


def _meter(session: Session, entry: ReadingEntry) -> Meter | None:
    if entry.meter is None:
        return None
    return known(meter_named(session, entry.meter), "meter", entry.meter)


def _hit_uid(entry: ReadingEntry, number: int) -> UUID:
    if entry.uid is None or number == 0:
        return uid_or_new(entry.uid)
    # The same for the same reading sent again.
    return uuid5(entry.uid, f"hit {number}")


def _already_there(
    session: Session, entry: ReadingEntry, subject: Mapping[str, int]
) -> list[Reading]:
    if entry.uid is None:
        return []
    uids = [_hit_uid(entry, number) for number in range(len(entry.hits))]
    wanted = select(Reading).where(Reading.uid.in_(uids))
    found = sorted(session.scalars(wanted), key=lambda reading: uids.index(reading.uid))
    same = [reading.shown for reading in found] == [hit.shown for hit in entry.hits] and all(
        reading.read_on == entry.read_on
        and all(getattr(reading, name) == key for name, key in subject.items())
        for reading in found
    )
    if found and not same:
        raise Conflict("Another reading was already kept under this id.")
    return found


def _round(session: Session, batch: Batch, stack: Stack, entry: ReadingEntry) -> Round:
    noon = datetime.combine(entry.read_on, time(12), UTC)
    for visit in rounds_of(session, stack):
        if abs(visit.started_at - noon) <= _HALF_DAY:
            return visit
    visit = Round(
        batch=batch,
        mark=_round_mark(session, stack, entry.read_on),
        stack=stack,
        started_at=entry.read_at or noon,
        person=entry.by or batch.person,
    )
    session.add(visit)
    return visit


def _round_mark(session: Session, stack: Stack, day: date) -> str:
    wanted = mark = f"{stack.mark} {day}"
    number = 2
    while round_marked(session, mark) is not None:
        mark = f"{wanted} {number}"
        number += 1
    return mark


def _write(
    session: Session, batch: Batch, entry: ReadingEntry, subject: Mapping[str, Any]
) -> list[Reading]:
    several = len(entry.hits) > 1
    readings = [
        Reading(
            uid=_hit_uid(entry, number),
            batch=batch,
            read_on=entry.read_on,
            read_at=entry.read_at,
            shown=hit.shown,
            value=hit.value,
            over=hit.over,
            under=hit.under,
            wood_temperature_c=entry.temperature_c,
            depth=entry.depth,
            spot=entry.spot,
            hit=number + 1 if several else None,
            note=entry.note,
            read_by=entry.by,
            **subject,
        )
        for number, hit in enumerate(entry.hits)
    ]
    session.add_all(readings)
    session.flush()
    return readings
