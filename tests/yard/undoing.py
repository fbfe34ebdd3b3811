"""What tests of undoing share: sittings one after the other, and the yard as it is exported."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from itertools import count

from sqlalchemy.orm import Session

from tests.make import A_MOMENT
from webapp.entry.entries import BoardEntry, MeterEntry, PlaceEntry, StackEntry
from webapp.entry.reading_form import ReadingEntry
from webapp.entry.reading_text import hits
from webapp.exports import csv_bytes
from webapp.records import Batch
from webapp.records.batch import open_batch
from webapp.records.stack import stack_marked
from webapp.yard.add_boards import add_boards
from webapp.yard.build_stack import build_stack
from webapp.yard.gather_folder import gather_folder
from webapp.yard.set_up_meter import set_up_meter
from webapp.yard.set_up_place import set_up_place
from webapp.yard.undo_batch import undo_batch

STACKED = date(2024, 3, 1)
SHED = PlaceEntry("shed", "open_shed", (5.0,) * 12, (70.0,) * 12)
LOFT = PlaceEntry("loft", "unheated", (8.0,) * 12, (60.0,) * 12)
STACK = StackEntry("A", "shed", STACKED, stickers_mm=20)
BOARD = BoardEntry("W7", "white oak", 32.0, STACKED)
READING = ReadingEntry("W7", date(2024, 4, 1), hits("13.5"))

_seconds = count()
Export = dict[str, bytes]


def exported(session: Session) -> Export:
    """Give the yard's files, byte for byte."""
    return {name: csv_bytes(frame) for name, frame in gather_folder(session).items()}


def sitting(session: Session, person: str = "keeper") -> Batch:
    """Open the next batch."""
    at = A_MOMENT + timedelta(seconds=next(_seconds))
    return open_batch(session, "form", person, at)


def done(session: Session, verb: Callable[..., object], *words: object, **more: object) -> Batch:
    """Do something in a batch of its own."""
    batch = sitting(session)
    verb(session, batch, *words, **more)
    return batch


def undo(session: Session, batch: Batch) -> Batch:
    """Undo a batch in a batch of its own."""
    undoing = sitting(session)
    undo_batch(session, undoing, batch)
    return undoing


def begin(session: Session) -> None:
    """Set up two places, two stacks, two boards in the first, a meter."""
    for place in (SHED, LOFT):
        done(session, set_up_place, place)
    for entry in (STACK, replace(STACK, stack="B")):
        done(session, build_stack, entry)
    stack = stack_marked(session, STACK.stack)
    done(session, add_boards, stack, [BOARD, replace(BOARD, board="W8")])
    done(session, set_up_meter, MeterEntry("m1"))
