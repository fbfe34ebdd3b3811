"""Add boards to a stack."""

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from sqlalchemy.orm import Session

from webapp.entry.entries import BoardEntry
from webapp.problems import Refused
from webapp.records.batch import Batch
from webapp.records.board import Board, BoardStay, board_marked
from webapp.records.label_code import fresh_codes
from webapp.records.log import log_marked
from webapp.records.stack import Stack, stays_of_stack
from webapp.yard.checks import day_that_came, free_mark, known, known_species, uid_or_new


def add_boards(
    session: Session, batch: Batch, stack: Stack, entries: Sequence[BoardEntry]
) -> list[Board]:
    """Write down new boards; raises Conflict for a used mark, Refused for a day too early."""
    codes = fresh_codes(session, Board, len(entries))
    boards = []
    for entry, code in zip(entries, codes, strict=True):
        _check_day(session, batch, stack, entry)
        board = Board(batch=batch, code=code, **_facts(session, entry))
        stay = BoardStay(
            batch=batch,
            stack=stack,
            from_on=entry.stacked_on,
            layer=entry.layer,
            position=entry.position,
        )
        board.stays.append(stay)
        session.add(board)
        # Flushed one by one, so that a mark that stands twice in the list is found.
        session.flush()
        boards.append(board)
    return boards


def _check_day(session: Session, batch: Batch, stack: Stack, entry: BoardEntry) -> None:
    day_that_came(batch, entry.stacked_on, f"Stacking “{entry.board}”")
    stays = stays_of_stack(session, stack)
    if not stays:
        raise Refused(f"Stack “{stack.mark}” stands nowhere yet: set it up at a place first.")
    if entry.stacked_on < stays[0].from_on:
        raise Refused(
            f"“{entry.board}” cannot lie in stack “{stack.mark}” on {entry.stacked_on}: "
            f"the stack was set up on {stays[0].from_on}."
        )


def _facts(session: Session, entry: BoardEntry) -> dict[str, Any]:
    facts = asdict(entry)
    for name in ("board", "stacked_on", "layer", "position", "log"):
        del facts[name]
    facts["mark"] = free_mark(board_marked(session, entry.board), "board", entry.board)
    facts["species"] = known_species(entry.species)
    facts["uid"] = uid_or_new(entry.uid)
    if entry.log is not None:
        facts["log"] = known(log_marked(session, entry.log), "log", entry.log)
    return facts
