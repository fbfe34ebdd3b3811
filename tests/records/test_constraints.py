"""What the tables themselves refuse, whoever writes."""

from collections.abc import Callable
from datetime import date, timedelta

import pytest
from sqlalchemy import insert, inspect, select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from tests.make import (
    A_DAY,
    A_MOMENT,
    make_air,
    make_board,
    make_event,
    make_log,
    make_meter,
    make_place,
    make_reading,
    make_round,
    make_stack,
    make_witness_board,
)
from webapp.records import Base, BoardStay, PlaceMonth, Reading, Record, StackStay, YardEffect
from webapp.records.batch import batch_of

Maker = Callable[[Session], object]

MARKED: list[Callable[..., Record]] = [
    lambda session, mark: make_place(session, name=mark),
    lambda session, mark: make_meter(session, name=mark),
    lambda session, mark: make_log(session, mark=mark),
    lambda session, mark: make_stack(session, mark=mark),
    lambda session, mark: make_board(session, mark=mark),
    lambda session, mark: make_witness_board(session, mark=mark),
    lambda session, mark: make_round(session, mark=mark),
]
NAMES = ["place", "meter", "log", "stack", "board", "witness_board", "round"]


@pytest.mark.parametrize("make", MARKED, ids=NAMES)
def test_a_mark_is_given_once(session: Session, make: Callable[..., Record]) -> None:
    make(session, "W7")
    with pytest.raises(IntegrityError):
        make(session, "W7")


@pytest.mark.parametrize("make", MARKED, ids=NAMES)
def test_the_mark_of_a_struck_record_is_free(session: Session, make: Callable[..., Record]) -> None:
    make(session, "W7").strike(A_MOMENT, "keeper", "entered twice")
    session.flush()
    assert make(session, "W7").is_live


@pytest.mark.parametrize("make", [make_stack, make_board], ids=["stack", "board"])
def test_a_label_code_is_never_used_again(session: Session, make: Callable[..., Record]) -> None:
    make(session, code="47CDF").strike(A_MOMENT, "keeper", "label lost")
    session.flush()
    with pytest.raises(IntegrityError):
        make(session, code="47CDF")


def test_a_uid_is_given_once(session: Session) -> None:
    place = make_place(session)
    with pytest.raises(IntegrityError):
        make_place(session, uid=place.uid)


def _month(**given: float) -> Maker:
    def make(session: Session) -> None:
        place = make_place(session)
        place.months[0].strike(A_MOMENT, None, "to be replaced")
        session.flush()
        row = {"month": 1, "temperature_c": 5.0, "rh_pct": 70.0} | given
        session.add(PlaceMonth(place=place, **row))
        session.flush()

    return make


def _stack_stay(days: int) -> Maker:
    def make(session: Session) -> None:
        stay = make_stack(session, from_on=A_DAY).stays[0]
        stay.until_on = A_DAY + timedelta(days=days)
        session.flush()

    return make


def _board_stay(days: int) -> Maker:
    def make(session: Session) -> None:
        stay = make_board(session, from_on=A_DAY).stays[0]
        stay.until_on = A_DAY + timedelta(days=days)
        session.flush()

    return make


def _round_of(hours: int) -> Maker:
    return lambda session: make_round(session, ended_at=A_MOMENT + timedelta(hours=hours))


def _reading_of_nothing(session: Session) -> None:
    session.add(Reading(read_on=A_DAY, shown="18.5", value=18.5))
    session.flush()


def _both_subjects(session: Session) -> None:
    make_reading(session, make_board(session), witness_board=make_witness_board(session))


def _air_of_both(session: Session) -> None:
    make_air(session, place=make_place(session), stack_id=make_stack(session).id)


def _event_of_two(session: Session) -> None:
    make_event(session, make_board(session), stack=make_stack(session))


REFUSED: list[tuple[str, Maker]] = [
    ("reading of no board", _reading_of_nothing),
    ("reading of two boards", _both_subjects),
    ("reading over and under", lambda session: make_reading(session, over=True, under=True)),
    ("reading of nothing", lambda session: make_reading(session, value=None)),
    ("depth", lambda session: make_reading(session, depth="deep")),
    ("place kind", lambda session: make_place(session, kind="cellar")),
    ("air of", lambda session: make_place(session, air_of="roof")),
    ("month 0", _month(month=0)),
    ("month 13", _month(month=13)),
    ("month twice", _month(month=2)),
    ("month's humidity", _month(rh_pct=100.5)),
    ("air of nothing", lambda session: make_air(session, place=None)),
    ("air of both", _air_of_both),
    ("air's humidity", lambda session: make_air(session, rh_pct=-1)),
    ("meter kind", lambda session: make_meter(session, kind="needle")),
    ("meter scale", lambda session: make_meter(session, scale="oak")),
    ("meter temperature", lambda session: make_meter(session, temperature="warm")),
    ("range", lambda session: make_meter(session, over_range_pct=6, under_range_pct=30)),
    ("needle", lambda session: make_meter(session, needle_mm=-1)),
    ("board of no thickness", lambda session: make_board(session, thickness_mm=0)),
    ("board's width", lambda session: make_board(session, width_mm=-1)),
    ("board's target", lambda session: make_board(session, target_pct=-1)),
    ("witness board's thickness", lambda session: make_witness_board(session, thickness_mm=0)),
    ("log's length", lambda session: make_log(session, length_mm=-1)),
    ("stack's count", lambda session: make_stack(session, board_count=-1)),
    ("stack stay backwards", _stack_stay(-1)),
    ("board stay backwards", _board_stay(-1)),
    ("round backwards", _round_of(-1)),
    ("event of two", _event_of_two),
]


@pytest.mark.parametrize("make", [make for _, make in REFUSED], ids=[name for name, _ in REFUSED])
def test_refused(session: Session, make: Maker) -> None:
    with pytest.raises(IntegrityError):
        make(session)


TAKEN: list[tuple[str, Maker]] = [
    ("over without a number", lambda session: make_reading(session, value=None, over=True)),
    ("over with its number", lambda session: make_reading(session, value=30.0, over=True)),
    ("witness", lambda session: make_reading(session, make_witness_board(session))),
    ("a month anew", _month(month=1)),
    ("stack stay of a day", _stack_stay(0)),
    ("board stay of a day", _board_stay(0)),
    ("round of an hour", _round_of(1)),
    ("event of a log", lambda session: make_event(session, make_log(session))),
    ("event of a board", lambda session: make_event(session, make_board(session))),
    ("event of a stack", lambda session: make_event(session, make_stack(session))),
]


@pytest.mark.parametrize("make", [make for _, make in TAKEN], ids=[name for name, _ in TAKEN])
def test_taken(session: Session, make: Maker) -> None:
    make(session)


def test_an_event_of_nothing_is_refused(session: Session) -> None:
    batch = batch_of(session)
    row = {"kind": "leak", "on_date": A_DAY, "batch_id": batch.id, "created_at": A_MOMENT}
    with pytest.raises(IntegrityError):
        session.execute(insert(Base.metadata.tables["event"]), [row | {"changes_air": True}])


def test_a_board_lies_in_one_stack_at_a_time(session: Session) -> None:
    board, other = make_board(session), make_stack(session)
    session.add(BoardStay(board=board, stack=other, from_on=A_DAY))
    with pytest.raises(IntegrityError):
        session.flush()


def test_a_stack_stands_at_one_place_at_a_time(session: Session) -> None:
    stack = make_stack(session)
    session.add(StackStay(stack=stack, place=make_place(session), from_on=A_DAY))
    with pytest.raises(IntegrityError):
        session.flush()


def test_effects_are_kept_once_a_day_and_version(session: Session) -> None:
    row = {"version": "1", "as_of": date(2024, 5, 4), "made_at": A_MOMENT, "effects": {"a": 1.5}}
    session.add(YardEffect(**row))
    session.flush()
    assert session.scalars(select(YardEffect.effects)).one() == {"a": 1.5}
    session.add(YardEffect(**row))
    with pytest.raises(IntegrityError):
        session.flush()


def test_every_record_has_what_all_records_have() -> None:
    shared = {"id", "uid", "created_at", "batch_id", "struck_at", "struck_by", "struck_why"}
    records = [
        mapper.class_ for mapper in Base.registry.mappers if issubclass(mapper.class_, Record)
    ]
    assert len(records) == 13
    for kind in records:
        assert shared <= set(inspect(kind).columns.keys()), kind
