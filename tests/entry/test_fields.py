import math
import re
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.entry import fields
from webapp.entry.fields import Unreadable, guard, number, number_text, unguard


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("13.5", 13.5),
        ("13,5", 13.5),
        (" 20 ", 20),
        ("20.", 20),
        (",5", 0.5),
        ("+3", 3),
        ("-4,0", -4),
    ],
)
def test_a_number_takes_comma_or_point(text: str, value: float) -> None:
    assert number(text, -50, 50, "mm") == value


@pytest.mark.parametrize(
    "text", ["", "abc", "1e1", "nan", "inf", "1,2,3", "12 mm", "٣", "0x1A", "--1"]
)
def test_a_number_refuses_what_is_none_and_says_what_was_expected(text: str) -> None:
    with pytest.raises(Unreadable, match=re.escape("expected a number of mm from 3 to 600")):
        number(text, 3, 600, "mm")


@pytest.mark.parametrize("text", ["1,200.5", "1.200,5", "1 200", "1'200"])
def test_a_sign_between_thousands_is_named(text: str) -> None:
    with pytest.raises(Unreadable, match="thousands"):
        number(text, 3, 6000, "mm")


@pytest.mark.parametrize("text", ["2.9", "600.1", "1,200"])
def test_a_number_outside_its_limits_is_refused(text: str) -> None:
    with pytest.raises(Unreadable, match="from 3 to 600"):
        number(text, 3, 600, "mm")


@given(st.floats(min_value=-1e9, max_value=1e9))
def test_a_number_written_is_read_back_exactly(value: float) -> None:
    text = number_text(value + 0.0)
    assert number(text, -1e9, 1e9, "mm") == value
    assert number(text.replace(".", ","), -1e9, 1e9, "mm") == value
    assert number_text(number(text, -1e9, 1e9, "mm")) == text


@pytest.mark.parametrize(
    ("value", "text"), [(20.0, "20"), (13.5, "13.5"), (1e-05, "0.00001"), (0.1, "0.1")]
)
def test_a_number_is_written_short_and_without_exponent(value: float, text: str) -> None:
    assert number_text(value) == text


def test_minus_zero_is_zero() -> None:
    assert math.copysign(1, number("-0", -5, 5, "mm")) == 1


def test_a_percentage_may_carry_its_sign() -> None:
    assert fields.percent("12,5 %", 0, 100) == 12.5


@pytest.mark.parametrize("text", ["3.5", "-1", "many", "", "10000"])
def test_a_count_refuses_what_is_none(text: str) -> None:
    with pytest.raises(Unreadable, match="whole number from 0 to 500"):
        fields.whole_number(text, 0, 500)


def test_a_count_takes_what_a_spreadsheet_makes_of_it() -> None:
    assert fields.whole_number("12.0", 0, 500) == 12


@pytest.mark.parametrize("text", ["", "   ", "a\nb", "a\tb", "x" * 61, "a\x00b", "a\ud800b"])
def test_a_mark_is_one_short_line(text: str) -> None:
    with pytest.raises(Unreadable, match="a mark"):
        fields.mark(text)


def test_a_mark_is_the_same_however_its_accents_were_typed() -> None:
    assert fields.mark("Ze\u0301lie 7") == fields.mark("Z\u00e9lie 7")


def test_a_note_keeps_its_lines_with_one_kind_of_end() -> None:
    assert fields.note("first\r\nsecond\rthird\n") == "first\nsecond\nthird"


@pytest.mark.parametrize("text", ["open_shed", "Open shed", "OPEN-SHED"])
def test_a_choice_looks_past_case_and_joints(text: str) -> None:
    assert fields.choice(text, ("open_shed", "heated")) == "open_shed"


def test_a_choice_lists_the_words_it_takes() -> None:
    with pytest.raises(Unreadable, match="one of open_shed, heated; found “barn”"):
        fields.choice("barn", ("open_shed", "heated"))


@pytest.mark.parametrize(
    ("text", "value"), [("yes", True), ("No", False), ("1", True), ("FALSE", False)]
)
def test_yes_or_no(text: str, value: bool) -> None:  # noqa: FBT001 - the expected answer
    assert fields.yes_or_no(text) is value


@pytest.mark.parametrize(
    ("parse", "text"), [(fields.yes_or_no, "perhaps"), (fields.uid, "17"), (fields.uid, "g" * 32)]
)
def test_other_words_are_refused(parse: Callable[[str], object], text: str) -> None:
    with pytest.raises(Unreadable, match="expected"):
        parse(text)


def test_a_long_text_is_shortened_in_the_refusal() -> None:
    with pytest.raises(Unreadable) as refused:
        number("9" * 5000, 0, 10, "mm")
    assert len(str(refused.value)) < 120


@given(st.text())
def test_a_guarded_text_comes_back(text: str) -> None:
    assert unguard(guard(text)) == text


@given(st.sampled_from("=+-@"), st.text())
def test_no_formula_is_written(sign: str, text: str) -> None:
    assert guard(sign + text)[0] == "'"


@pytest.mark.parametrize("text", ["'tis dry", "it's", "'", ""])
def test_a_persons_own_apostrophe_stays(text: str) -> None:
    assert guard(text) == text
    assert unguard(text) == text
