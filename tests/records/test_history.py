from datetime import UTC, date, datetime
from uuid import UUID

import pytest
from sqlalchemy import delete, insert, select, update
from sqlalchemy.orm import Session

from tests.make import A_MOMENT, make_board, make_place, make_reading, make_stack
from webapp.records import Batch, Board, BoardStay, Change, Database, Place, Reading
from webapp.records.batch import batch_of, changes_of, open_batch
from webapp.records.record import new_uid

LATER = datetime(2024, 6, 1, 12, 0, tzinfo=UTC)


def test_a_new_record_is_told_by_its_batch_alone(session: Session) -> None:
    place = make_place(session)
    assert (place.batch.kind, place.batch.person) == ("form", "keeper")
    assert place.created_at == A_MOMENT
    assert session.scalars(select(Change)).all() == []


def test_an_edit_keeps_before_and_after(session: Session) -> None:
    board = make_board(session, mark="W7", thickness_mm=27.0, sawn_on=date(2024, 4, 1))
    edit = open_batch(session, "form", "helper", LATER)
    board.thickness_mm, board.sawn_on = 32.0, date(2024, 4, 2)
    session.flush()
    (change,) = changes_of(session, board)
    assert change.before == {"thickness_mm": 27.0, "sawn_on": "2024-04-01"}
    assert change.after == {"thickness_mm": 32.0, "sawn_on": "2024-04-02"}
    assert (change.batch, change.table_name, change.row_uid) == (edit, "board", board.uid)
    assert board.batch != edit


def test_a_strike_keeps_before_and_after(session: Session) -> None:
    reading = make_reading(session)
    open_batch(session, "form", "helper", LATER)
    reading.strike(LATER, "helper", "a slip of the finger")
    session.flush()
    (change,) = changes_of(session, reading)
    assert set(change.before.values()) == {None}
    assert change.after == {
        "struck_at": LATER.isoformat(),
        "struck_by": "helper",
        "struck_why": "a slip of the finger",
    }
    assert not reading.is_live


def test_values_that_were_never_loaded_are_kept_too(session: Session) -> None:
    place = make_place(session, name="Loft")
    session.expire(place)
    place.name = "Barn"
    session.flush()
    assert changes_of(session, place)[0].before == {"name": "Loft"}


def test_a_record_linked_elsewhere_is_a_change(session: Session) -> None:
    board, other = make_board(session), make_stack(session)
    stay = board.stays[0]
    before = stay.stack_id
    stay.stack = other
    session.flush()
    (change,) = changes_of(session, stay)
    assert (change.before, change.after) == ({"stack_id": before}, {"stack_id": other.id})


def test_setting_what_is_there_already_is_no_change(session: Session) -> None:
    place = make_place(session, name="Loft")
    session.expire(place)
    place.name = "Loft"
    session.flush()
    assert changes_of(session, place) == []


def test_changes_are_listed_in_the_order_they_came(session: Session) -> None:
    place = make_place(session, name="one")
    for name in ("two", "three"):
        place.name = name
        session.flush()
    assert [change.after["name"] for change in changes_of(session, place)] == ["two", "three"]


def test_an_edit_outside_any_batch_is_refused(database: Database) -> None:
    with database.writing() as session:
        open_batch(session, "form", "keeper", A_MOMENT)
        kept = make_place(session, name="Loft")
    with database.writing() as session:
        session.get_one(Place, kept.id).name = "Barn"
        with pytest.raises(LookupError, match="open_batch"):
            session.flush()
        session.rollback()
    with database.reading() as session:
        assert session.get_one(Place, kept.id).name == "Loft"


def test_a_new_record_outside_any_batch_is_refused(database: Database) -> None:
    with database.writing() as session:
        with pytest.raises(LookupError, match="open_batch"):
            make_place(session)
        session.rollback()


def test_nothing_is_deleted(session: Session) -> None:
    session.delete(make_reading(session))
    with pytest.raises(TypeError, match="a reading is struck, never deleted"):
        session.flush()


def test_no_change_of_many_rows_passes_the_history_by(session: Session) -> None:
    make_board(session)
    with pytest.raises(TypeError, match="Board"):
        session.execute(update(Board).values(species="ash"))
    with pytest.raises(TypeError, match="BoardStay"):
        session.execute(delete(BoardStay))
    session.expire_all()
    assert session.scalars(select(Board.species)).one() == "white oak"


def test_many_rows_may_come_in_at_once(session: Session) -> None:
    board, batch = make_board(session), batch_of(session)
    rows = [
        {
            "board_id": board.id,
            "batch_id": batch.id,
            "created_at": A_MOMENT,
            "read_on": date(2024, 5, day),
            "shown": "20",
            "value": 20.0,
        }
        for day in range(1, 31)
    ]
    session.execute(insert(Reading), rows)
    uids = session.scalars(select(Reading.uid)).all()
    assert len(set(uids)) == 30


def test_a_record_may_bring_its_own_uid_batch_and_date(session: Session) -> None:
    phone = Batch(kind="phone", person="helper", at=LATER)
    uid = UUID("018f4a5e-0000-7000-8000-000000000001")
    reading = make_reading(session, uid=uid, batch=phone)
    early = make_reading(session, created_at=A_MOMENT, batch=phone)
    assert (reading.uid, reading.batch, reading.created_at) == (uid, phone, LATER)
    assert early.created_at == A_MOMENT


def test_uids_sort_by_the_time_they_were_made() -> None:
    uids = [new_uid() for _ in range(1000)]
    assert {uid.version for uid in uids} == {7}
    assert len(set(uids)) == 1000
    assert uids == sorted(uids)
