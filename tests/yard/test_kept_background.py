from __future__ import annotations

from dataclasses import asdict
from datetime import timedelta
from typing import TYPE_CHECKING

import numpy as np
from sqlalchemy import func, select

from tests.make import A_DAY, make_board, make_reading, make_stack
from webapp.drying.background import Background, background_of
from webapp.records.kept import YardEffect
from webapp.yard import work_out as working
from webapp.yard.judge_stack import judge_yard
from webapp.yard.kept_background import background_for
from webapp.yard.lay_out import day_number, lay_out
from webapp.yard.recall import Recall
from webapp.yard.work_out import refit_yard

if TYPE_CHECKING:
    import pytest
    from sqlalchemy.orm import Session

TODAY = A_DAY + timedelta(days=160)


def _small_yard(session: Session) -> None:
    for n in range(3):
        stack = make_stack(session)
        for _ in range(2):
            board = make_board(session, stack)
            for days, value in ((30, 27.0), (65, 20.0 + n), (95, 16.5), (125, 15.4), (150, 14.9)):
                when = A_DAY + timedelta(days=days)
                make_reading(session, board, read_on=when, shown=str(value), value=value)


def test_what_is_found_again_is_what_was_found(session: Session) -> None:
    _small_yard(session)
    layout = lay_out(session, TODAY)
    air, today = working._courses(layout, TODAY), day_number(TODAY)
    found = background_of(layout.readings, layout.boards, air, layout.causes, today)
    refit_yard(session, TODAY)
    session.flush()
    session.expire_all()
    kept = background_for(session, layout, TODAY)
    assert kept is not None
    np.testing.assert_equal(vars(kept.effect), vars(found.effect))
    np.testing.assert_equal(vars(kept.weather), vars(found.weather))
    assert np.abs(kept.weather.anomaly_pct).max() > 0


def test_a_refit_is_found_again_while_nothing_changed(session: Session) -> None:
    _small_yard(session)
    assert background_for(session, lay_out(session, TODAY), TODAY) is None
    refit_yard(session, TODAY)
    layout = lay_out(session, TODAY)
    kept = background_for(session, layout, TODAY)
    assert isinstance(kept, Background)
    assert kept.effect.offset_pct.shape == (3,)
    assert kept.weather.anomaly_pct.shape[0] == len(layout.places)
    assert background_for(session, layout, TODAY + timedelta(days=1)) is None
    make_reading(session, make_board(session))
    assert background_for(session, lay_out(session, TODAY), TODAY) is None


def test_verdicts_rest_on_the_kept_refit_and_are_the_same(
    session: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    _small_yard(session)
    monkeypatch.setattr(working, "_recall", Recall(room=1))
    fresh = judge_yard(session, TODAY)
    refit_yard(session, TODAY)
    monkeypatch.setattr(working, "_recall", Recall(room=1))
    monkeypatch.setattr(working, "background_of", None)
    kept = judge_yard(session, TODAY)
    assert len(kept.boards) == 6
    np.testing.assert_equal(
        [asdict(said) for said in kept.boards], [asdict(said) for said in fresh.boards]
    )
    np.testing.assert_equal(
        [asdict(said) for said in kept.stacks], [asdict(said) for said in fresh.stacks]
    )


def test_a_second_refit_of_a_day_takes_the_place_of_the_first(session: Session) -> None:
    _small_yard(session)
    refit_yard(session, TODAY)
    refit_yard(session, TODAY)
    session.flush()
    assert session.scalar(select(func.count(YardEffect.id))) == 1
    refit_yard(session, TODAY + timedelta(days=1))
    session.flush()
    assert session.scalar(select(func.count(YardEffect.id))) == 2
    assert background_for(session, lay_out(session, TODAY), TODAY) is not None


def test_an_empty_yard_is_refitted_to_nothing(session: Session) -> None:
    told: list[tuple[int, int]] = []
    refit_yard(session, TODAY, lambda done, whole: told.append((done, whole)))
    assert told[-1] == (3, 3)
    assert session.scalar(select(func.count(YardEffect.id))) == 0
