"""Follow stacks from place to place and boards from stack to stack, in yard and folder."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from webapp.entry import folder
from webapp.yard.intake import Intake
from webapp.yard.known_yard import KnownStay


@dataclass(frozen=True)
class Start:
    """The beginning of a stay; `row_id` is set where the yard has it already."""

    on: date
    where: str | None
    row_id: int | None = None
    uid: UUID | None = None
    why: str | None = None


Chains = dict[str, list[Start]]


def follow_stacks(intake: Intake) -> Chains:
    """Give every stack's stays, oldest first; refuse boards and moves that contradict them."""
    chains = {mark: _known(stays) for mark, stays in intake.known.stack_stays.items()}
    moves = _grouped(intake.records(folder.MOVES), "stack", "moved_on")
    boards = _grouped(intake.records(folder.BOARDS), "stack", "stacked_on")
    for stack, rows in boards.items():
        if stack in chains:
            _check_boards(intake, stack, rows, chains[stack][0])
        else:
            chains[stack] = _first_stay(intake, stack, rows, moves.get(stack, []))
    for stack, rows in moves.items():
        _follow_moves(intake, stack, rows, chains.setdefault(stack, []))
    return chains


def follow_boards(intake: Intake, stacks: Chains) -> Chains:
    """Give every board's stays, oldest first; refuse moves that contradict them."""
    chains = {mark: _known(stays) for mark, stays in intake.known.board_stays.items()}
    for _row, laid in intake.records(folder.BOARDS):
        chains[laid["board"]] = [Start(laid["stacked_on"], laid["stack"])]
    moves = _grouped(intake.records(folder.BOARD_MOVES), "board", "moved_on")
    for board, rows in moves.items():
        # A board whose own row was refused has no chain; that is told at its row.
        if board in chains:
            _follow_board_moves(intake, board, rows, chains[board], stacks)
    return chains


_Rows = list[tuple[int, dict[str, Any]]]


def _known(stays: Iterable[KnownStay]) -> list[Start]:
    return [Start(stay.from_on, stay.where, stay.row_id, stay.uid, stay.why) for stay in stays]


def _grouped(rows: _Rows, by: str, day: str) -> dict[str, _Rows]:
    groups: dict[str, _Rows] = defaultdict(list)
    for row, values in sorted(rows, key=lambda pair: pair[1][day]):
        groups[values[by]].append((row, values))
    return groups


def _check_boards(intake: Intake, stack: str, rows: _Rows, first: Start) -> None:
    sheet = intake.sheets[folder.BOARDS.name]
    for row, board in rows:
        if board["place"] != first.where:
            sheet.refuse(row, "place", _set_up(stack, first, "expected that place"))
        elif board["stacked_on"] < first.on:
            sheet.refuse(row, "stacked_on", _set_up(stack, first, "expected no earlier day"))


def _set_up(stack: str, first: Start, expected: str) -> str:
    return f"stack “{stack}” was first set up at “{first.where}” on {first.on}; {expected}"


def _first_stay(intake: Intake, stack: str, rows: _Rows, moves: _Rows) -> list[Start]:
    sheet = intake.sheets[folder.BOARDS.name]
    told_by, told = min(rows)
    for row, board in rows:
        if board["place"] != told["place"]:
            line = sheet.lines[told_by]
            said = f"stack “{stack}” was first set up at “{told['place']}” by line {line}; "
            sheet.refuse(row, "place", said + "expected that place")
    stacked_on = rows[0][1]["stacked_on"]
    if moves and moves[0][1]["moved_on"] <= stacked_on and moves[0][1]["place"] == told["place"]:
        # The file tells of the setting up itself, before or with the first board.
        return []
    return [Start(stacked_on, told["place"])]


def _follow_moves(intake: Intake, stack: str, rows: _Rows, chain: list[Start]) -> None:
    sheet = intake.sheets[folder.MOVES.name]
    for row, move in rows:
        last = chain[-1] if chain else None
        if last is not None and move["moved_on"] <= last.on:
            said = f"stack “{stack}” came to “{last.where}” on {last.on}; expected a later day"
            sheet.refuse(row, "moved_on", said)
        elif last is not None and move["place"] == last.where:
            said = (
                f"stack “{stack}” stands at “{last.where}” since {last.on}; expected another place"
            )
            sheet.refuse(row, "place", said)
        else:
            chain.append(Start(move["moved_on"], move["place"], uid=move["id"]))


def _follow_board_moves(
    intake: Intake, board: str, rows: _Rows, chain: list[Start], stacks: Chains
) -> None:
    sheet = intake.sheets[folder.BOARD_MOVES.name]
    for row, move in rows:
        day, stack, last = move["moved_on"], move["stack"], chain[-1]
        stands = stacks.get(stack, [])
        if day <= last.on:
            came = f"came to stack “{last.where}”" if last.where else "left the stacks"
            said = f"board “{board}” {came} on {last.on}; expected a later day"
            sheet.refuse(row, "moved_on", said)
        elif stack == last.where and (stack is not None or move["why"] == last.why):
            where = f"lies in stack “{stack}”" if stack else "is out of the yard's stacks"
            sheet.refuse(
                row, "stack", f"board “{board}” {where} since {last.on}; expected a change"
            )
        elif stack is not None and not (stands and stands[0].on <= day):
            said = f"stack “{stack}” stands nowhere on {day}: tell in moves.csv where it was set up"
            sheet.refuse(row, "stack", said)
        else:
            chain.append(Start(day, stack, uid=move["id"], why=move["why"]))
