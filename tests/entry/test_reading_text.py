import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.entry.fields import Unreadable, number_text
from webapp.entry.reading_text import ShownReading, hits, same_reading, shown_reading

PERCENTS = st.floats(min_value=1e-3, max_value=250)


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("13.5", ShownReading("13.5", 13.5)),
        ("13,5", ShownReading("13,5", 13.5)),
        (" 13.5% ", ShownReading("13.5%", 13.5)),
        (">30", ShownReading(">30", 30, over=True)),
        ("> 30,5", ShownReading("> 30,5", 30.5, over=True)),
        ("<6", ShownReading("<6", 6, under=True)),
        (">", ShownReading(">", None, over=True)),
        ("113", ShownReading("113", 113)),
    ],
)
def test_what_a_meter_shows(text: str, read: ShownReading) -> None:
    assert shown_reading(text) == read


@pytest.mark.parametrize(
    "text", ["", "-3", "0", "0,0", "250.1", "wet", "13.5.2", "=13", "+13", "30>", "nan", "٣"]
)
def test_what_no_meter_shows_is_refused(text: str) -> None:
    with pytest.raises(Unreadable, match="expected a reading above 0 and at most 250 percent"):
        shown_reading(text)


def test_several_hits_in_one_cell_are_told_where_they_go() -> None:
    with pytest.raises(Unreadable, match="numbered in the column hit"):
        shown_reading("13.5 14 13")


def test_hits_are_parted_by_blanks() -> None:
    assert [hit.value for hit in hits("13.5 14  13,0")] == [13.5, 14, 13]
    assert [hit.over for hit in hits("29 > 30")] == [False, True]


def test_too_many_hits() -> None:
    with pytest.raises(Unreadable, match="at most 20 hits"):
        hits("12 " * 21)


@given(PERCENTS, st.sampled_from(["", ">", "<"]))
def test_a_reading_comes_back_with_comma_and_point(value: float, sign: str) -> None:
    text = sign + number_text(value)
    read = shown_reading(text)
    assert (read.shown, read.value, read.over, read.under) == (
        text,
        value,
        sign == ">",
        sign == "<",
    )
    assert same_reading(shown_reading(text.replace(".", ","))) == same_reading(read) == text
