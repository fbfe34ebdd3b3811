import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

import pytest

from webapp import clock


@pytest.fixture
def far_east(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """A computer whose clock stands 14 hours ahead of UTC."""
    monkeypatch.setenv("TZ", "AHEAD-14")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


def test_now_is_in_utc() -> None:
    before = clock.now()
    assert before.tzinfo is UTC
    assert timedelta(0) <= clock.now() - before < timedelta(seconds=5)


def test_today_is_the_day_where_the_computer_stands(far_east: None) -> None:
    before = clock.now()
    today = clock.today()
    assert (before + timedelta(hours=14)).date() <= today
    assert today <= (clock.now() + timedelta(hours=14)).date()


def test_a_moment_is_told_as_clocks_tell_it_here(far_east: None) -> None:
    there = clock.where_we_are(datetime(2024, 12, 31, 18, 30, tzinfo=UTC))
    assert there.strftime("%Y-%m-%d %H:%M") == "2025-01-01 08:30"
