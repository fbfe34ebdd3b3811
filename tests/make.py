"""Makes records with sensible defaults; whatever a test cares about it gives by name."""

from datetime import UTC, date, datetime
from itertools import count
from typing import Any, TypeVar

from sqlalchemy.orm import Session

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
from webapp.records.label_code import fresh_code

A_DAY = date(2024, 5, 4)
A_MOMENT = datetime(2024, 5, 4, 9, 30, tzinfo=UTC)
# A temperate station: monthly means of air temperature and relative humidity, invented.
TEMPERATURES_C = (-1, 0, 4, 9, 14, 18, 20, 19, 15, 10, 4, 0)
HUMIDITIES_PCT = (82, 79, 73, 68, 68, 69, 70, 72, 76, 80, 83, 84)

_numbers = count(1)
Kind = TypeVar("Kind", bound=Record)


def make_place(session: Session, **given: Any) -> Place:
    """Make an open shed with twelve months of air."""
    place = _kept(session, Place(**{"name": _fresh("Shed"), "kind": "open_shed"} | given))
    months = zip(range(1, 13), TEMPERATURES_C, HUMIDITIES_PCT, strict=True)
    session.add_all(
        PlaceMonth(place=place, month=month, temperature_c=temperature, rh_pct=humidity)
        for month, temperature, humidity in months
    )
    session.flush()
    return place


def make_air(session: Session, **given: Any) -> Air:
    """Make one measurement of the air at a place."""
    if "place" not in given and "stack_id" not in given:
        given["place"] = make_place(session)
    return _kept(session, Air(**{"at": A_MOMENT, "temperature_c": 15, "rh_pct": 70} | given))


def make_log(session: Session, **given: Any) -> Log:
    """Make a white oak log."""
    return _kept(session, Log(**{"mark": _fresh("L"), "species": "white oak"} | given))


def make_stack(
    session: Session, place: Place | None = None, from_on: date = A_DAY, **given: Any
) -> Stack:
    """Make a stack that stands at a place from a day on."""
    given = {"mark": _fresh("S"), "code": fresh_code(session, Stack)} | given
    stack = Stack(**given)
    stay = StackStay(stack=stack, place=place or make_place(session), from_on=from_on)
    session.add(stay)
    return _kept(session, stack)


def make_board(
    session: Session, stack: Stack | None = None, from_on: date = A_DAY, **given: Any
) -> Board:
    """Make a board that lies in a stack from a day on."""
    default = {"mark": _fresh("B"), "species": "white oak", "thickness_mm": 27.0}
    board = Board(**default | {"code": fresh_code(session, Board)} | given)
    stay = BoardStay(board=board, stack=stack or make_stack(session), from_on=from_on)
    session.add(stay)
    return _kept(session, board)


def make_witness_board(session: Session, place: Place | None = None, **given: Any) -> WitnessBoard:
    """Make a long-dry offcut that lies at a place."""
    default = {"mark": _fresh("V"), "species": "white oak", "thickness_mm": 27.0}
    place = place or make_place(session)
    return _kept(session, WitnessBoard(place=place, **default | given))


def make_meter(session: Session, **given: Any) -> Meter:
    """Make a pin meter that allows for temperature itself."""
    default = {"name": _fresh("pins"), "kind": "pin", "scale": "as_shown"}
    return _kept(session, Meter(**default | {"temperature": "compensated"} | given))


def make_round(session: Session, stack: Stack | None = None, **given: Any) -> Round:
    """Make a visit to a stack."""
    default = {"mark": _fresh("R"), "started_at": A_MOMENT}
    return _kept(session, Round(stack=stack or make_stack(session), **default | given))


def make_reading(
    session: Session, board: Board | WitnessBoard | None = None, **given: Any
) -> Reading:
    """Make a reading of 18.5 on a board, or a witness board."""
    board = board or make_board(session)
    subject = {"board" if isinstance(board, Board) else "witness_board": board}
    default = {"read_on": A_DAY, "shown": "18.5", "value": 18.5}
    return _kept(session, Reading(**subject | default | given))


def make_event(session: Session, subject: Log | Board | Stack, **given: Any) -> Event:
    """Make an event of a log, a board or a stack."""
    named = {type(subject).__name__.lower(): subject}
    return _kept(session, Event(**named | {"kind": "covered", "on_date": A_DAY} | given))


def _kept(session: Session, record: Kind) -> Kind:
    session.add(record)
    session.flush()
    return record


def _fresh(word: str) -> str:
    return f"{word}{next(_numbers)}"
