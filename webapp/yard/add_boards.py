"""Add boards to a stack."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

from sqlalchemy.orm import Session

from webapp.entry.entries import BoardEntry
from webapp.problems import Refused
from webapp.records.batch import Batch
from webapp.records.board import Board, BoardStay, boards_marked
from webapp.records.label_code import fresh_codes
from webapp.records.log import Log, log_marked
from webapp.records.stack import Stack, StackStay, stays_of_stack
from webapp.yard.checks import day_that_came, free_mark, known, known_species, uid_or_new


def add_boards(
    session: Session, batch: Batch, stack: Stack, entries: Sequence[BoardEntry]
) -> list[Board]:
    """Write down new boards; raises Conflict for a used mark, Refused for a day too early."""
    stays = stays_of_stack(session, stack)
    bearing = boards_marked(session, [entry.board for entry in entries])
    logs = _logs(session, entries)
    codes = fresh_codes(session, Board, len(entries))
    boards = []
    for entry, code in zip(entries, codes, strict=True):
        _check_day(batch, stack, stays, entry)
        free_mark(bearing.get(entry.board), "board", entry.board)
        board = Board(batch=batch, code=code, **_facts(entry, logs))
        stay = BoardStay(
            batch=batch,
            stack=stack,
            from_on=entry.stacked_on,
            layer=entry.layer,
            position=entry.position,
        )
        board.stays.append(stay)
        session.add(board)
        # A mark that stands twice in the list is in use the second time.
        bearing[entry.board] = board
        boards.append(board)
    session.flush()
    return boards


def _logs(session: Session, entries: Sequence[BoardEntry]) -> dict[str, Log]:
    marks = {entry.log for entry in entries if entry.log is not None}
    return {mark: known(log_marked(session, mark), "log", mark) for mark in marks}


def _check_day(batch: Batch, stack: Stack, stays: Sequence[StackStay], entry: BoardEntry) -> None:
    day_that_came(batch, entry.stacked_on, f"Stacking “{entry.board}”")
    if not stays:
        raise Refused(f"Stack “{stack.mark}” stands nowhere yet: set it up at a place first.")
    if entry.stacked_on < stays[0].from_on:
        raise Refused(
            f"“{entry.board}” cannot lie in stack “{stack.mark}” on {entry.stacked_on}: "
            f"the stack was set up on {stays[0].from_on}."
        )


def _facts(entry: BoardEntry, logs: Mapping[str, Log]) -> dict[str, Any]:
    facts = asdict(entry)
    for name in ("board", "stacked_on", "layer", "position", "log"):
        del facts[name]
    facts["mark"] = entry.board
    facts["species"] = known_species(entry.species)
    facts["uid"] = uid_or_new(entry.uid)
    if entry.log is not None:
        facts["log"] = logs[entry.log]
    return facts
