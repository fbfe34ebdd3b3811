from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import numpy as np
from sqlalchemy import func, select

from tests.make import A_DAY, make_board, make_reading, make_stack
from webapp.drying.background import Background
from webapp.records.kept import YardEffect
from webapp.yard import work_out as working
from webapp.yard.judge_stack import judge_yard
from webapp.yard.kept_background import background_for
from webapp.yard.lay_out import lay_out
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
    for one, other in zip(fresh.boards, kept.boards, strict=True):
        assert one.verdict.state == other.verdict.state
        np.testing.assert_allclose(one.verdict.moisture_pct, other.verdict.moisture_pct)


def test_a_second_refit_of_a_day_takes_the_place_of_the_first(session: Session) -> None:
    _small_yard(session)
    refit_yard(session, TODAY)
    refit_yard(session, TODAY)
    session.flush()
    assert session.scalar(select(func.count(YardEffect.id))) == 1


def test_an_empty_yard_is_refitted_to_nothing(session: Session) -> None:
    told: list[tuple[int, int]] = []
    refit_yard(session, TODAY, lambda done, whole: told.append((done, whole)))
    assert told[-1] == (3, 3)
    assert session.scalar(select(func.count(YardEffect.id))) == 0
