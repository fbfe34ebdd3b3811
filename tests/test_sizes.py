from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp import sizes
from webapp.look import Dates, Units

METRIC, INCH = Units.METRIC, Units.INCH


@pytest.mark.parametrize(
    ("mm", "metric", "inch"),
    [
        (32.0, "32 mm", "1 1/4 in"),
        (52.5, "52.5 mm", "2 1/16 in"),
        (25.4, "25.4 mm", "1 in"),
        (12.7, "12.7 mm", "1/2 in"),
    ],
)
def test_a_thickness(mm: float, metric: str, inch: str) -> None:
    assert sizes.size_words(mm, METRIC) == metric
    assert sizes.size_words(mm, INCH) == inch


def test_a_length_is_told_in_metres_or_feet() -> None:
    assert sizes.size_words(2400.0, METRIC, long=True) == "2.4 m"
    assert sizes.size_words(2400.0, INCH, long=True) == "7 ft 10 1/2 in"
    assert sizes.size_words(2438.4, INCH, long=True) == "8 ft"


def test_a_span_names_its_unit_once_and_is_one_size_where_both_read_alike() -> None:
    assert sizes.span_words(180.0, 210.0, METRIC) == "180–210 mm"
    assert sizes.span_words(180.0, 180.0, METRIC) == "180 mm"
    assert sizes.span_words(203.2, 254.0, INCH) == "8–10 in"
    assert sizes.span_words(25.4, 27.0, INCH) == "1 – 1 1/16 in"
    assert sizes.span_words(27.0, 27.2, INCH) == "1 1/16 in"


def test_what_is_worked_out_claims_no_tenths() -> None:
    assert sizes.worked_out_span_words(26.31, 27.64, METRIC) == "26–28 mm"
    assert sizes.worked_out_span_words(26.31, 26.44, METRIC) == "26 mm"


def test_a_board_is_told_as_far_as_it_is_known() -> None:
    assert sizes.board_size_words(27.0, 180.0, None, 2400.0, METRIC) == "27 × 180 mm × 2.4 m"
    assert sizes.board_size_words(31.75, 177.8, 203.2, 2438.4, INCH) == "1 1/4 × 7–8 in × 8 ft"
    assert sizes.board_size_words(27.0, None, None, 2400.0, METRIC) == "27 mm × 2.4 m"
    assert sizes.board_size_words(27.0, None, None, 600.0, METRIC) == "27 × 600 mm"
    assert sizes.board_size_words(27.0, None, None, None, INCH) == "1 1/16 in"
    # "1 1/4 × 6 × 8 ft 6 in" would leave the first two without a unit.
    assert sizes.board_size_words(31.75, 152.4, None, 2590.8, INCH) == "1 1/4 × 6 in × 8 ft 6 in"


def test_volumes_and_weights_keep_the_digits_that_count() -> None:
    twenty_board_feet_m3 = 20 * 0.002359737216  # NIST SP 811, Appendix B
    assert sizes.volume_words(twenty_board_feet_m3, METRIC) == "0.047 m³"
    assert sizes.volume_words(twenty_board_feet_m3, INCH) == "20 bd ft"
    assert sizes.volume_words(123.4, METRIC) == "123 m³"
    assert sizes.volume_words(0.0, METRIC) == "0 m³"
    assert sizes.weight_words(9.6, METRIC) == "9.6 kg"
    assert sizes.weight_words(9.97, METRIC) == "10 kg"
    assert sizes.weight_words(123.4, METRIC) == "120 kg"
    assert sizes.weight_words(0.45359237 * 21.2, INCH) == "21 lb"


def test_a_day_in_three_orders() -> None:
    day = date(2026, 5, 3)
    said = [sizes.day_words(day, dates) for dates in Dates]
    assert said == ["3 May 2026", "May 3, 2026", "2026-05-03"]


def test_days_in_a_sentence_are_written_as_they_are_liked() -> None:
    sentence = "“Oak 2024-05-04” came to “Shed” on 2024-05-04; it cannot move on 2024-02-30."
    assert sizes.with_days(sentence, Dates.ISO) == sentence
    assert sizes.with_days(sentence, Dates.MONTH_FIRST) == (
        "“Oak 2024-05-04” came to “Shed” on May 4, 2024; it cannot move on 2024-02-30."
    )
    assert sizes.with_days("S-2024-05-04, 2024-05-04-1", Dates.DAY_FIRST) == (
        "S-2024-05-04, 2024-05-04-1"
    )


@given(st.floats(min_value=1e-4, max_value=1e6))
def test_a_volume_is_never_off_by_more_than_its_last_digit(volume_m3: float) -> None:
    said = sizes.volume_words(volume_m3, METRIC)
    assert "e" not in said
    assert float(said.removesuffix(" m³")) == pytest.approx(volume_m3, rel=0.051)
