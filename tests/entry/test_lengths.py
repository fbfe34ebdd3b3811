import contextlib
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.entry.fields import Unreadable
from webapp.entry.length_text import length_text
from webapp.entry.lengths import length_mm
from webapp.entry.sizes import (
    DIAMETER,
    LENGTH,
    NEEDLE,
    SPACING,
    STICKERS,
    THICKNESS,
    WIDTH,
    Size,
    size_kind,
)
from webapp.entry.typed_lengths import Unit
from webapp.look import Units

INCH = 25.4
FOOT = 304.8
SIZES = [THICKNESS, WIDTH, LENGTH, DIAMETER, STICKERS, SPACING, NEEDLE]


def read(text: str, bare: Unit = Unit.MM, *, quarters: bool = False) -> float:
    return length_mm(text, 3, 40_000, bare, quarters=quarters)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("32", 32),
        ("32 mm", 32),
        ("32mm", 32),
        ("32 MM", 32),
        ("31,5", 31.5),
        ("3,2 cm", 32),
        ("1.2 m", 1200),
        ("1,2m", 1200),
        ("32 millimetres", 32),
        ("32 millimeters", 32),
        ("2 metres", 2000),
        ("1 1/4 in", 31.75),
        ("1 1/4", 31.75),
        ("3/4", 19.05),
        ("1-1/4 in", 31.75),
        ('1-1/4"', 31.75),
        ('1.25"', 31.75),
        ("1,25 in.", 31.75),
        ("1¼ in", 31.75),
        ("1 ¼ in", 31.75),
        ("¾″", 19.05),
        ("1 1\u20444 inches", 31.75),
        ("5/4 in", 31.75),
        ("1 inch", INCH),
        ("8 ft", 8 * FOOT),
        ("8'", 8 * FOOT),
        ("8’", 8 * FOOT),
        ("8 feet", 8 * FOOT),
        ("1 foot", FOOT),
        ("8.5 ft", 8.5 * FOOT),
        ("8 1/2 ft", 8.5 * FOOT),
        ("8' 6\"", 8.5 * FOOT),
        ("8′ 6″", 8.5 * FOOT),
        ("8' 6''", 8.5 * FOOT),
        ("8'6", 8.5 * FOOT),
        ("8'-6 1/2\"", 8.5 * FOOT + INCH / 2),
        ("8 ft 6 in", 8.5 * FOOT),
        ("8 feet, 6 inches", 8.5 * FOOT),
        ("8ft6in", 8.5 * FOOT),
        ("1\u202f200\u00a0mm", None),
        ("32\u202fmm", 32),
        ("\u20091.2\u00a0m ", 1200),
        ("32.", 32),
    ],
)
def test_a_length_as_people_write_it(text: str, mm: float | None) -> None:
    if mm is None:
        with pytest.raises(Unreadable, match="without a sign between the thousands"):
            read(text)
    else:
        assert read(text) == pytest.approx(mm, abs=1e-9)


@pytest.mark.parametrize(
    ("bare", "text", "mm"),
    [
        (Unit.IN, "7", 7 * INCH),
        (Unit.IN, "7 1/2", 7.5 * INCH),
        (Unit.FT, "8", 8 * FOOT),
        (Unit.FT, "8 1/2", 8.5 * FOOT),
        (Unit.FT, "1/2", 0.5 * FOOT),
        (Unit.IN, "32 mm", 32),
    ],
)
def test_a_bare_number_is_in_the_callers_unit(bare: Unit, text: str, mm: float) -> None:
    assert read(text, bare) == pytest.approx(mm, abs=1e-9)


@pytest.mark.parametrize("bare", list(Unit))
def test_quarters_name_a_thickness_where_asked_for(bare: Unit) -> None:
    assert read("5/4", bare, quarters=True) == 31.75
    assert read("8/4", bare, quarters=True) == 50.8
    assert read("4/4", bare, quarters=True) == INCH
    with pytest.raises(Unreadable, match="quarters such as 5/4 are for a thickness"):
        read("5/4", bare)


def test_conversion_leaves_no_crumbs() -> None:
    assert [read(text) for text in ("3,2 cm", "0.6 m", "0.3 cm", "1.1 m")] == [32, 600, 3, 1100]


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ",
        "thick",
        "mm",
        "-5 mm",
        "\u22125",
        "+5",
        "1e3",
        "nan",
        "1/0 in",
        "1/2/4",
        "32 km",
        "32 mm mm",
        "32 x 180",
        "8' 14\"",
        "8 ft 6 mm",
        "1 m 20",
        "٣٢",
        "<b>32</b>",
        "🌲",
        "12345678901",
        "32 mmm",
        "1 5/4 in",
        "9" * 10_000,
        "1 " * 5_000,
    ],
)
@pytest.mark.parametrize("bare", list(Unit))
def test_what_is_no_length_is_refused_and_says_what_was_expected(text: str, bare: Unit) -> None:
    with pytest.raises(Unreadable, match="or a length with its unit, such as") as refused:
        read(text, bare)
    assert len(str(refused.value)) < 250


@pytest.mark.parametrize(
    ("size", "units", "text", "sentence"),
    [
        (LENGTH, Units.METRIC, "1.2", "expected millimetres from 30 to 40000"),
        (LENGTH, Units.METRIC, "1.2", "was 1.2 m meant?"),
        (LENGTH, Units.METRIC, "1,2", "was 1.2 m meant?"),
        (LENGTH, Units.METRIC, "1,200 mm", "was 1200 mm meant?"),
        (LENGTH, Units.METRIC, "2400 m", "was 2400 mm meant?"),
        (THICKNESS, Units.METRIC, "2.5", "was 2.5 cm or 2.5 in meant?"),
        (THICKNESS, Units.INCH, "32", "expected inches from 0.12 to 23.62"),
        (THICKNESS, Units.INCH, "32", "was 32 mm meant?"),
        (WIDTH, Units.INCH, "180", "was 180 mm meant?"),
        (LENGTH, Units.INCH, "1/50", "expected feet from 0.1 to 131.2"),
        (LENGTH, Units.INCH, "96", "expected the unit as well: 96 in, 96 ft or 96 mm"),
        (NEEDLE, Units.INCH, "10", "was 10 mm meant?"),
    ],
)
def test_a_likely_slip_is_asked_about(size: Size, units: Units, text: str, sentence: str) -> None:
    with pytest.raises(Unreadable, match=re.escape(sentence)):
        size_kind(size, units).read(text)


def test_both_limits_count_in() -> None:
    assert size_kind(THICKNESS, Units.METRIC).read("3") == 3
    assert size_kind(THICKNESS, Units.METRIC).read("60 cm") == 600
    assert size_kind(THICKNESS, Units.INCH).read("23.62") == pytest.approx(599.948)
    assert size_kind(LENGTH, Units.METRIC).read("40 m") == 40_000


@pytest.mark.parametrize(
    ("mm", "units", "long", "text"),
    [
        (32, Units.METRIC, False, "32 mm"),
        (31.75, Units.METRIC, False, "31.8 mm"),
        (1200, Units.METRIC, False, "1200 mm"),
        (1200, Units.METRIC, True, "1.2 m"),
        (2438.4, Units.METRIC, True, "2.438 m"),
        (999.9, Units.METRIC, True, "1 m"),
        (600, Units.METRIC, True, "600 mm"),
        (31.75, Units.INCH, False, "1 1/4 in"),
        (INCH, Units.INCH, False, "1 in"),
        (19.05, Units.INCH, False, "3/4 in"),
        (27, Units.INCH, False, "1 1/16 in"),
        (8 * FOOT, Units.INCH, True, "8 ft"),
        (8.5 * FOOT, Units.INCH, True, "8 ft 6 in"),
        (8 * FOOT + INCH / 2, Units.INCH, True, "8 ft 1/2 in"),
        (10 * INCH, Units.INCH, True, "10 in"),
        (8 * FOOT, Units.INCH, False, "96 in"),
        (12 * INCH - 0.1, Units.INCH, True, "1 ft"),
    ],
)
def test_lengths_are_written_as_the_trade_does(
    mm: float,
    units: Units,
    long: bool,  # noqa: FBT001 - a parameter of the table
    text: str,
) -> None:
    assert length_text(mm, units, long=long) == text


@given(st.floats(min_value=0, max_value=40_000), st.sampled_from(list(Units)), st.booleans())
def test_what_was_written_is_read_back_to_the_printed_precision(
    mm: float,
    units: Units,
    long: bool,  # noqa: FBT001 - drawn
) -> None:
    text = length_text(mm, units, long=long)
    again = length_mm(text, 0, 50_000, Unit.FT)
    half_a_step = INCH / 32 if units is Units.INCH else 0.5 if text.endswith(" m") else 0.05
    assert abs(again - mm) <= half_a_step + 1e-9
    assert length_text(again, units, long=long) == text


@given(st.sampled_from(SIZES), st.sampled_from(list(Units)), st.data())
def test_every_size_inside_its_limits_comes_back(
    size: Size, units: Units, data: st.DataObject
) -> None:
    kind = size_kind(size, units)
    mm = data.draw(st.floats(min_value=size.low_mm + 1, max_value=size.high_mm - 1))
    text = kind.write(mm)
    assert kind.write(kind.read(text)) == text


@given(st.text(max_size=80), st.sampled_from(list(Unit)), st.booleans())
def test_any_text_is_a_length_or_a_refusal(
    text: str,
    bare: Unit,
    quarters: bool,  # noqa: FBT001 - drawn
) -> None:
    try:
        mm = read(text, bare, quarters=quarters)
    except Unreadable as error:
        assert str(error).startswith("expected ")  # noqa: PT017 - either way is right
    else:
        assert 3 <= mm <= 40_000


@given(st.text("0123456789 .,/-'\"xinftm¼½", max_size=10_000))
def test_long_texts_of_lengths_signs_are_answered_at_once(text: str) -> None:
    with contextlib.suppress(Unreadable):
        assert 3 <= read(text) <= 40_000
