"""How a record is named in a sentence: what it is, and its mark."""

from collections.abc import Callable
from typing import Any

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
    Record,
    Round,
    Stack,
    StackStay,
    WitnessBoard,
)

WORDS: dict[type[Record], str] = {
    Board: "board",
    Log: "log",
    Meter: "meter",
    Place: "place",
    Round: "round",
    Stack: "stack",
    WitnessBoard: "witness board",
}


def mark_of(record: Record) -> str | None:
    """Give the mark or the name a record goes by, if it has one."""
    mark: str | None = getattr(record, "mark", None) or getattr(record, "name", None)
    return mark


def named(record: Record) -> str:
    """Name a record within a sentence, such as: the reading 13.5 of “W7” on 2024-05-01."""
    word = WORDS.get(type(record))
    if word is not None:
        return f"the {word} “{mark_of(record)}”"
    return _NAMES[type(record)](record)


def sentence(words: str) -> str:
    """Begin a sentence with a capital letter."""
    return words[:1].upper() + words[1:]


def _reading(reading: Reading) -> str:
    board = reading.board or reading.witness_board
    of = f" of “{board.mark}”" if board is not None else ""
    return f"the reading {reading.shown}{of} on {reading.read_on}"


def _stack_stay(stay: StackStay) -> str:
    return f"the stay of stack “{stay.stack.mark}” at “{stay.place.name}” from {stay.from_on}"


def _board_stay(stay: BoardStay) -> str:
    where = f"in stack “{stay.stack.mark}”" if stay.stack else "outside the stacks"
    return f"the stay of board “{stay.board.mark}” {where} from {stay.from_on}"


def _air(air: Air) -> str:
    at = f" at “{air.place.name}”" if air.place else ""
    return f"the air measured{at} on {air.at.date()}"


def _event(event: Event) -> str:
    subject = event.log or event.board or event.stack
    of = f" of “{subject.mark}”" if subject is not None else ""
    return f"the event “{event.kind}”{of} on {event.on_date}"


def _month(month: PlaceMonth) -> str:
    return f"the air of month {month.month} at “{month.place.name}”"


_NAMES: dict[type[Record], Callable[[Any], str]] = {
    Air: _air,
    BoardStay: _board_stay,
    Event: _event,
    PlaceMonth: _month,
    Reading: _reading,
    StackStay: _stack_stay,
}
