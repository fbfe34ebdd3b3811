from datetime import UTC, date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.entry.dates import day, day_text, moment, moment_text
from webapp.entry.fields import Unreadable

DAYS = st.dates(date(1900, 1, 1), date(2199, 12, 31))
MOMENTS = st.datetimes(datetime(1901, 1, 1), datetime(2199, 12, 30), timezones=st.just(UTC))  # noqa: DTZ001 - hypothesis adds the zone


@given(DAYS)
def test_a_day_comes_back(value: date) -> None:
    assert day(day_text(value)) == value


@given(MOMENTS)
def test_a_moment_comes_back(value: datetime) -> None:
    assert moment(moment_text(value)) == value
    assert moment_text(moment(moment_text(value))) == moment_text(value)


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("31/05/2024", "looks like day, month, year: write 2024-05-31"),
        ("31.5.2024", "looks like day, month, year: write 2024-05-31"),
        ("05/31/2024", "looks like month, day, year: write 2024-05-31"),
        ("04/05/2024", "day, month, year or month, day, year, and which cannot be told"),
        ("31/05/24", "looks like day, month, year"),
        ("2024/05/31", "looks like year, month, day in another spelling: write 2024-05-31"),
        ("2024-5-3", "write 2024-05-03"),
        ("2024-31-05", "looks like year, day, month: write 2024-05-31"),
        ("20240531", "without hyphens: write 2024-05-31"),
        ("45443", "a spreadsheet's day number"),
        ("31 May 2024", "the month as a word"),
        ("2024-05-31 00:00:00", "a date with a time of day: write 2024-05-31"),
        ("2023-02-29", "there is no day 2023-02-29"),
        ("31/31/2024", "looks like day, month, year, but there is no such day"),
        ("1024-05-31", "expected a date from 1900 to 2199"),
        ("soon", "found “soon”"),
    ],
)
def test_another_order_is_refused_and_named(text: str, hint: str) -> None:
    with pytest.raises(Unreadable) as refused:
        day(text)
    assert hint in str(refused.value)
    assert "expected a date" in str(refused.value)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("2024-05-31T09:30+02:00", datetime(2024, 5, 31, 7, 30, tzinfo=UTC)),
        ("2024-05-31 09:30", datetime(2024, 5, 31, 9, 30, tzinfo=UTC)),
        ("2024-05-31T09:30:15.5Z", datetime(2024, 5, 31, 9, 30, 15, 500000, tzinfo=UTC)),
        ("2024-05-31", datetime(2024, 5, 31, 12, tzinfo=UTC)),
    ],
)
def test_a_moment_is_kept_in_utc(text: str, value: datetime) -> None:
    assert moment(text) == value


@pytest.mark.parametrize(
    "text",
    [
        "2024-05-31T25:00",
        "2024-02-30T09:00",
        "09:30",
        "0001-01-01T00:00+05:00",
        "1900-01-01T00:00+14:00",
        "2199-12-31T23:00-05:00",
    ],
)
def test_no_moment(text: str) -> None:
    with pytest.raises(Unreadable, match="expected"):
        moment(text)
