"""A log of the air: each record once, nothing of the future."""

from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy.orm import Session

from tests import make
from webapp.entry.air_text import MeasuredAir
from webapp.problems import Refused
from webapp.records.batch import batch_of, open_batch
from webapp.records.place import air_at
from webapp.yard.keep_air_log import KeptLog, keep_air_log
from webapp.yard.undo_batch import undo_batch

AT = datetime(2024, 5, 1, 12, tzinfo=UTC)


def hours(count: int, start: int = 0) -> list[MeasuredAir]:
    return [
        MeasuredAir(hour + 1, AT + timedelta(hours=hour), 10.0 + hour / 10, 70.0)
        for hour in range(start, start + count)
    ]


def test_a_log_is_kept_in_order(session: Session) -> None:
    place = make.make_place(session)
    kept = keep_air_log(session, batch_of(session), place, hours(3))
    assert kept == KeptLog(3, 0)
    assert [(one.at, one.temperature_c) for one in air_at(session, place)] == [
        (AT, 10.0),
        (AT + timedelta(hours=1), 10.1),
        (AT + timedelta(hours=2), 10.2),
    ]


def test_what_is_there_is_not_kept_again(session: Session) -> None:
    place, other = make.make_place(session), make.make_place(session)
    batch = batch_of(session)
    keep_air_log(session, batch, place, hours(3))
    assert keep_air_log(session, batch, place, hours(3, start=2)) == KeptLog(2, 1)
    assert keep_air_log(session, batch, place, [*hours(1), *hours(1)]) == KeptLog(0, 2)
    assert keep_air_log(session, batch, other, [*hours(1), *hours(1)]) == KeptLog(1, 1)
    assert len(air_at(session, place)) == 5


def test_a_struck_record_may_come_again(session: Session) -> None:
    place = make.make_place(session)
    batch = batch_of(session)
    keep_air_log(session, batch, place, hours(1))
    air_at(session, place)[0].strike(batch.at, None, "wrong place")
    session.flush()
    assert keep_air_log(session, batch, place, hours(1)) == KeptLog(1, 0)


def test_the_future_is_refused(session: Session) -> None:
    place = make.make_place(session)
    ahead = MeasuredAir(1, make.A_MOMENT + timedelta(days=2), 10.0, 70.0)
    with pytest.raises(Refused, match="future"):
        keep_air_log(session, batch_of(session), place, [ahead])


def test_a_log_can_be_undone(session: Session) -> None:
    place = make.make_place(session)
    pasted = open_batch(session, "form", None, make.A_MOMENT)
    keep_air_log(session, pasted, place, hours(3))
    undo_batch(session, open_batch(session, "undo", None, make.A_MOMENT), pasted)
    assert list(air_at(session, place)) == []
