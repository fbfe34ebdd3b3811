from datetime import UTC, date, datetime, timedelta
from uuid import UUID

import pytest
from sqlalchemy.orm import Session

from tests.make import (
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
from webapp.problems import Conflict
from webapp.records import Board, Event, Meter, Place, Reading, Record
from webapp.records.batch import changes_of, open_batch
from webapp.records.history import typed
from webapp.yard.naming import named, sentence
from webapp.yard.notice_changes import Meanwhile, changes_meanwhile, newest_change

LATER = A_MOMENT + timedelta(days=1)


def test_nothing_happened(session: Session) -> None:
    assert newest_change(session) == 0
    board = make_board(session)
    assert changes_meanwhile(session, {"species": (board, "species")}, 0) == []


def test_what_somebody_else_changed_is_told_field_by_field(session: Session) -> None:
    board = make_board(session, thickness_mm=27.0, sawn_on=date(2024, 4, 1))
    board.turn = "slab 1"
    session.flush()
    seen = newest_change(session)
    open_batch(session, "form", "helper", LATER)
    board.thickness_mm, board.sawn_on = 32.0, date(2024, 4, 2)
    session.flush()
    board.thickness_mm = 38.0
    session.flush()
    fields = {name: (board, name) for name in ("species", "turn", "sawn_on")}
    found = changes_meanwhile(session, fields | {"thick": (board, "thickness_mm")}, seen)
    assert found == [
        Meanwhile("sawn_on", date(2024, 4, 1), date(2024, 4, 2), "helper", LATER),
        Meanwhile("thick", 27.0, 38.0, "helper", LATER),
    ]
    assert changes_meanwhile(session, fields, newest_change(session)) == []


def test_changed_and_changed_back_is_nothing(session: Session) -> None:
    place = make_place(session, name="Loft")
    for name in ("Barn", "Loft"):
        place.name = name
        session.flush()
    assert changes_meanwhile(session, {"place": (place, "name")}, 0) == []


def test_several_records_behind_one_form(session: Session) -> None:
    place = make_place(session)
    place.months[6].temperature_c = 25.5
    session.flush()
    fields: dict[str, tuple[Record, str]] = {"name": (place, "name")}
    fields |= {f"temp_{month.month}": (month, "temperature_c") for month in place.months}
    (found,) = changes_meanwhile(session, fields, 0)
    assert (found.field, found.before, found.now) == ("temp_7", 20.0, 25.5)


def test_a_link_is_told_by_its_mark(session: Session) -> None:
    board = make_board(session)
    board.log = make_log(session, mark="L2")
    session.flush()
    (found,) = changes_meanwhile(session, {"log": (board, "log_id")}, 0)
    assert (found.before, found.now) == (None, "L2")


def test_a_record_struck_meanwhile_is_told(session: Session) -> None:
    board = make_board(session, mark="W7")
    board.strike(LATER, "helper", "entered twice")
    session.flush()
    with pytest.raises(Conflict, match="The board “W7” was struck out meanwhile by helper"):
        changes_meanwhile(session, {"species": (board, "species")}, newest_change(session))


@pytest.mark.parametrize(
    ("kind", "column", "value"),
    [
        (Board, "sawn_on", date(2024, 4, 1)),
        (Board, "thickness_mm", 0.1 + 0.2),
        (Board, "mark", "W7"),
        (Board, "log_id", 3),
        (Board, "uid", UUID("018f4a5e-0000-7000-8000-000000000001")),
        (Reading, "read_at", datetime(2024, 4, 1, 23, 59, 59, 123456, UTC)),
        (Reading, "over", True),
        (Meter, "insulated", None),
        (Place, "kind", "outdoors"),
        (Event, "detail", {"what": [1, None, "torn"]}),
    ],
)
def test_a_kept_value_comes_back_as_it_was(
    session: Session, kind: type[Record], column: str, value: object
) -> None:
    made = next(record for record in _one_of_each(session) if isinstance(record, kind))
    if column == "log_id":
        make_log(session, id=3)
    setattr(made, column, value)
    session.flush()
    changes = changes_of(session, made)
    session.expire_all()
    if changes:
        assert typed(kind, column, changes[-1].after[column]) == value
        assert type(typed(kind, column, changes[-1].after[column])) is type(value)
    else:
        assert getattr(made, column) == value is None


def _one_of_each(session: Session) -> list[Record]:
    place = make_place(session, name="Loft")
    stack = make_stack(session, place, mark="S")
    board = make_board(session, stack, mark="W")
    witness = make_witness_board(session, place, mark="V")
    return [
        place,
        place.months[0],
        stack,
        stack.stays[0],
        board,
        board.stays[0],
        witness,
        make_air(session, place=place),
        make_log(session, mark="L"),
        make_meter(session, name="pins"),
        make_round(session, stack, mark="R"),
        make_reading(session, board),
        make_reading(session, witness),
        make_event(session, board),
    ]


def test_every_record_has_a_name(session: Session) -> None:
    made = _one_of_each(session)
    assert {type(record) for record in made} == set(Record.__subclasses__())
    assert [sentence(named(record)) for record in made] == [
        "The place “Loft”",
        "The air of month 1 at “Loft”",
        "The stack “S”",
        "The stay of stack “S” at “Loft” from 2024-05-04",
        "The board “W”",
        "The stay of board “W” in stack “S” from 2024-05-04",
        "The witness board “V”",
        "The air measured at “Loft” on 2024-05-04",
        "The log “L”",
        "The meter “pins”",
        "The round “R”",
        "The reading 18.5 of “W” on 2024-05-04",
        "The reading 18.5 of “V” on 2024-05-04",
        "The event “covered” of “W” on 2024-05-04",
    ]
