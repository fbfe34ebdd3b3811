from __future__ import annotations

from datetime import timedelta
from threading import Barrier, Thread
from typing import TYPE_CHECKING

import pytest

from tests.make import A_DAY, A_MOMENT, make_board, make_place, make_reading, make_stack
from webapp.drying.judge import judge
from webapp.problems import Refused
from webapp.records.batch import open_batch
from webapp.yard import work_out as working
from webapp.yard.recall import Recall
from webapp.yard.strike_reading import strike_reading
from webapp.yard.work_out import refit_yard, work_out

if TYPE_CHECKING:
    from datetime import date
    from typing import Any

    from sqlalchemy.orm import Session

    from webapp.drying.judge import Judgement
    from webapp.records import Board, Database

TODAY = A_DAY + timedelta(days=160)


def _one_stack(session: Session) -> list[Board]:
    stack = make_stack(session)
    boards = [make_board(session, stack) for _ in range(2)]
    for board in boards:
        for days, value in ((30, 27.0), (65, 20.0), (95, 16.5), (125, 15.4)):
            when = A_DAY + timedelta(days=days)
            make_reading(session, board, read_on=when, shown=str(value), value=value)
    return boards


@pytest.fixture
def judged_days(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """The days that were really judged, from an empty memory on."""
    days: list[float] = []

    def counted(*given: Any) -> Judgement:
        days.append(given[-1])
        return judge(*given)

    monkeypatch.setattr(working, "_recall", Recall(room=4))
    monkeypatch.setattr(working, "judge", counted)
    return days


def test_a_yard_is_judged_once_while_nothing_changes(
    session: Session, judged_days: list[float]
) -> None:
    _one_stack(session)
    first, second = work_out(session, TODAY), work_out(session, TODAY)
    assert first.judgement is not None
    assert second.judgement is first.judgement
    assert len(first.judgement.verdicts) == 2
    assert len(judged_days) == 1


def test_every_day_is_judged_by_itself_and_remembered(
    session: Session, judged_days: list[float]
) -> None:
    _one_stack(session)
    days = [TODAY + timedelta(days=days) for days in (0, 1, 2, 3)]
    said = [work_out(session, day).judgement for day in days]
    assert [work_out(session, day).judgement for day in days] == said
    assert len(judged_days) == 4
    assert judged_days == sorted(set(judged_days))


def test_a_strike_is_judged_anew_and_taking_it_back_is_recalled(
    session: Session, judged_days: list[float]
) -> None:
    boards = _one_stack(session)
    before = work_out(session, TODAY).judgement
    slip = make_reading(session, boards[0], read_on=TODAY, shown="41", value=41.0)
    assert work_out(session, TODAY).judgement is not before
    batch = open_batch(session, "form", "keeper", A_MOMENT + timedelta(days=161))
    strike_reading(session, batch, slip, "slip of the finger")
    after = work_out(session, TODAY)
    assert after.judgement is before
    assert slip.id not in after.layout.frame["reading_id"].tolist()
    assert len(judged_days) == 2


def test_an_empty_yard_comes_to_no_judgement(session: Session, judged_days: list[float]) -> None:
    make_place(session)
    judged = work_out(session, TODAY)
    assert judged.judgement is None
    assert len(judged.layout.boards) == 0
    assert judged_days == []


def test_a_refused_yard_is_judged_once_it_is_mended(
    session: Session, judged_days: list[float]
) -> None:
    stack = make_stack(session, place := make_place(session, name="North shed"))
    make_reading(session, make_board(session, stack))
    humidity = place.months[4].rh_pct
    place.months[4].strike(A_MOMENT, "keeper", "typed wrong")
    session.flush()
    with pytest.raises(Refused, match="North shed"):
        work_out(session, TODAY)
    with pytest.raises(Refused, match="North shed"):
        refit_yard(session, TODAY)
    struck = place.months[4]
    struck.struck_at = struck.struck_by = struck.struck_why = None
    session.flush()
    assert struck.rh_pct == humidity
    assert work_out(session, TODAY).judgement is not None
    assert len(judged_days) == 1


def test_two_who_ask_at_once_share_one_judgement(
    sqlite_database: Database, judged_days: list[float]
) -> None:
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", A_MOMENT)
        _one_stack(session)
    start = Barrier(4, timeout=10)
    answers: list[Judgement | None] = []

    def ask(day: date) -> None:
        with sqlite_database.reading() as session:
            start.wait()
            answers.append(work_out(session, day).judgement)

    threads = [Thread(target=ask, args=(TODAY,)) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    assert len(answers) == 4
    assert answers[0] is not None
    assert all(answer is answers[0] for answer in answers)
    assert len(judged_days) == 1


def test_a_refit_tells_how_far_it_is(session: Session) -> None:
    _one_stack(session)
    told: list[tuple[int, int]] = []
    refit_yard(session, TODAY, lambda done, whole: told.append((done, whole)))
    assert told == [(0, 3), (1, 3), (2, 3), (3, 3)]
