"""Own air records: lines and loggers' files, read whole or refused line by line."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from webapp.entry.air_moments import DayOrder, air_moment
from webapp.entry.air_text import MOST_LINES, AirText, MeasuredAir, read_air
from webapp.entry.fields import Unreadable
from webapp.entry.temperatures import Scale

NOON = datetime(2024, 5, 1, 12, tzinfo=UTC)


def read(
    text: str, order: DayOrder = DayOrder.YEAR_FIRST, bare: Scale = Scale.C, place: str = "Shed"
) -> AirText:
    return read_air(text, bare=bare, order=order, place=place, latest=date(2025, 3, 10))


@pytest.mark.parametrize(
    "line",
    [
        "2024-05-01 12:00, 14.5, 71",
        "2024-05-01 12:00,14.5,71",
        "2024-05-01 12:00, 14,5, 71",
        "2024-05-01 12:00,14,5,71,0",
        "2024-05-01,12:00,14.5,71",
        "2024-05-01\t12:00\t14,5\t71",
        "2024-05-01 12:00\t14.5\t71 %",
        "2024-05-01 12:00; 14,5; 71",
        "2024-05-01T12:00Z;14.5 °C;71%",
        "2024-05-01T14:00+02:00;14.5;71",
        "2024-05-01 12:00 14.5 71",
        "2024-05-01 14,5 71",
        "2024-05-01; 58.1 F; 71",
        "2024/5/1 12:00; 14.5; 71",
        '"2024-05-01 12:00","14,5","71"',
        "\ufeff2024-05-01 12:00:00.000, 14.5, 71",
        "sep=;\n2024-05-01 12:00;14,5;71",
    ],
)
def test_the_same_record_written_anyhow(line: str) -> None:
    found = read(line)
    assert found.refusals == []
    (one,) = found.measured
    assert (one.at, one.rh_pct) == (NOON, 71)
    assert one.temperature_c == pytest.approx(14.5)


@pytest.mark.parametrize(
    ("line", "order"),
    [
        ("1.5.2024 12:00; 14.5; 71", DayOrder.DAY_FIRST),
        ("01/05/2024 12:00, 14.5, 71", DayOrder.DAY_FIRST),
        ("5/1/2024 12:00 PM, 14.5, 71", DayOrder.MONTH_FIRST),
        ("05/01/2024, 12:00 p.m., 14.5, 71", DayOrder.MONTH_FIRST),
        ("2024-05-01 12:00, 14.5, 71", DayOrder.MONTH_FIRST),
    ],
)
def test_days_in_the_order_that_was_said(line: str, order: DayOrder) -> None:
    assert read(line, order).measured == [MeasuredAir(1, NOON, 14.5, 71)]


@pytest.mark.parametrize(
    ("text", "hour"),
    [("12:30 am", 0), ("1:30 AM", 1), ("12:30 pm", 12), ("1:30 p.m.", 13), ("11:30PM", 23)],
)
def test_halves_of_the_day(text: str, hour: int) -> None:
    assert air_moment(f"2024-05-01 {text}", DayOrder.YEAR_FIRST).hour == hour


@pytest.mark.parametrize("text", ["2024-05-01 13:30 pm", "2024-05-01 0:30 am", "2024-05-01 25:00"])
def test_no_such_hour(text: str) -> None:
    with pytest.raises(Unreadable):
        air_moment(text, DayOrder.YEAR_FIRST)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("1/5/2024 12:00, 14.5, 71", "does not begin with the year: say how days stand"),
        ("2024-02-30, 14.5, 71", "there is no day 2024-02-30"),
        ("2024-05-01 12:00,14,5,71", "put semicolons between, as 2024-05-01 12:00; 14,5; 71"),
        ("2024-05-01 12:00, 14.5", "expected a time, a temperature and a humidity"),
        ("2024-05-01 12:00; warm; 71", "expected degrees Celsius"),
        ("2024-05-01 12:00; 14.5; 120", "from 0 to 100; found “120”"),
        ("2024-05-01 12:00; 150; 20", "from -70 to 130"),
        ("2025-03-11 12:00; 14.5; 71", "a day that has come"),
        ('"2024-05-01 12:00;14.5;71', "closing quotation mark"),
        ("<script>alert(1)</script>", "expected a time"),
        ("مرحبا; 1; 2", "expected a date"),
        ("x" * 10_000, "expected a time"),
    ],
)
def test_what_cannot_be_taken_is_told_with_its_line(line: str, said: str) -> None:
    found = read(f"2024-05-01 12:00; 14.5; 71\n\n{line}\n2024-05-02 12:00; 14.5; 71")
    ((number, sentence),) = found.refusals
    assert number == 3
    assert said in sentence
    assert len(sentence) < 300
    assert [one.line for one in found.measured] == [1, 4]


def test_all_wrong_lines_are_told_at_once() -> None:
    found = read("a\n2024-05-01; 1; 2\nb\nc")
    assert [number for number, _sentence in found.refusals] == [1, 3, 4]


def test_a_logger_s_file_is_read_by_its_head() -> None:
    found = read(
        "No.,Date,Time,Temperature(°F),Relative Humidity(%),Dew Point(°F)\n"
        "1,2024-05-01,12:00:00,58.1,71,49\n"
        "2,2024-05-02,12:00:00,50,65,38\n"
    )
    assert found.refusals == []
    assert found.left_out == ("No.", "Dew Point(°F)")
    assert [round(one.temperature_c, 6) for one in found.measured] == [14.5, 10]
    assert [one.line for one in found.measured] == [2, 3]


def test_columns_come_in_any_order() -> None:
    found = read("RH;Timestamp;Temp\n71;2024-05-01 12:00;14,5")
    assert found.measured == [MeasuredAir(2, NOON, 14.5, 71)]
    assert read("Time,Celsius(°C),Humidity(%rh)\n2024-05-01 12:00,14.5,71").measured == (
        found.measured
    )


def test_a_column_s_scale_goes_before_the_person_s() -> None:
    celsius = read("at,temperature_c,rh_pct\n2024-05-01,14.5,71", bare=Scale.F)
    assert celsius.measured[0].temperature_c == 14.5
    bare = read("at,temperature,rh_pct\n2024-05-01,50,71", bare=Scale.F)
    assert bare.measured[0].temperature_c == 10


def test_an_export_s_air_is_taken_for_its_own_place_only() -> None:
    text = (
        "id,place,at,temperature_c,rh_pct\n"
        ",Shed,2024-05-01T12:00:00Z,14.5,71\n"
        ",Loft,2024-05-01T12:00:00Z,14.5,71\n"
    )
    found = read(text)
    assert found.measured == [MeasuredAir(2, NOON, 14.5, 71)]
    assert found.refusals == [(3, "this is the air of “Loft”, not of “Shed”.")]
    assert found.left_out == ("id",)


def test_a_row_that_is_too_short_is_told() -> None:
    found = read("time,temp,rh\n2024-05-01 12:00,14.5")
    assert found.refusals == [(2, "expected 3 cells, as on top; found 2.")]


def test_a_head_that_does_not_name_all_is_no_head() -> None:
    found = read("time,temp\n2024-05-01 12:00,14.5")
    assert [number for number, _sentence in found.refusals] == [1, 2]


@pytest.mark.parametrize("text", ["", "\n\n", "   ", "time,temp,rh\n"])
def test_nothing_to_take(text: str) -> None:
    assert read(text) == AirText()


def test_too_many_lines_are_refused_at_once() -> None:
    found = read("2024-05-01; 14.5; 71\n" * (MOST_LINES + 1))
    assert found.measured == []
    assert found.refusals == [(50_001, "expected at most 50000 lines: send it in several parts.")]


def test_a_file_of_rubbish_is_not_told_line_by_line_for_ever() -> None:
    assert len(read("rubbish\n" * 5_000).refusals) == 200
