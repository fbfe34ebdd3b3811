import time
from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.entry.board_marks import MarkPlan, plan_marks
from webapp.entry.bulk_boards import BoardLine, LineRefusal, board_lines
from webapp.entry.bulk_entries import BoardDefaults, boards_of_lines
from webapp.entry.entries import BoardEntry
from webapp.look import Units

FT = 304.8
A_DAY = date(2026, 5, 2)
OAK = BoardDefaults(stacked_on=A_DAY, species="white oak", thickness_mm=27)
FROM_W1 = MarkPlan("W")
METRIC, INCH = Units.METRIC, Units.INCH


def the_line(text: str, units: Units = METRIC) -> BoardLine:
    lines, refusals = board_lines(text, units)
    assert not refusals
    return lines[0]


def the_refusal(text: str, units: Units = METRIC) -> str:
    lines, refusals = board_lines(text, units)
    assert not lines
    assert len(refusals) == 1
    return str(refusals[0])


def line(count: int = 1, **given: Any) -> BoardLine:
    return BoardLine(1, count, **given)


SIZED: dict[str, Any] = {"thickness_mm": 32.0, "width_mm": 180.0, "length_mm": 1200.0}
IN_INCHES: dict[str, Any] = {"thickness_mm": 31.75, "width_mm": 177.8, "length_mm": 8 * FT}


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("6 boards 32 mm x 180 mm x 1.2 m flat", line(6, **SIZED, grain="flat")),
        ("6 boards, 32 mm, 1.2 m", line(6, thickness_mm=32, length_mm=1200)),
        ("6 x 5/4 x 7 in x 8 ft", line(6, **IN_INCHES)),
        ("6 x 1 1/4 in x 7 in x 8 ft", line(6, **IN_INCHES)),
        ('6 boards 1.25" x 7" x 8\'', line(6, **IN_INCHES)),
        ("6 boards 1¼″ × 7″ × 8′", line(6, **IN_INCHES)),
        ("6 5/4 boards 7 in by 8 feet", line(6, **IN_INCHES)),
        ("10 boards 27 mm", line(10, thickness_mm=27)),
        ("10 27 mm", line(10, thickness_mm=27)),
        ("10 boards", line(10)),
        ("six boards 27 mm", line(6, thickness_mm=27)),
        ("32 x 180 x 1200", line(**SIZED)),
        ("32 × 180 × 1200 mm", line(**SIZED)),
        ("6x32x180x1200", line(6, **SIZED)),
        ("32mmx180mmx1.2m", line(**SIZED)),
        ("3,2 x 18 x 120 cm", line(**SIZED)),
        ("3,2 cm x 18 cm x 1,2 m", line(**SIZED)),
        ("32 x 180 mm", line(thickness_mm=32, width_mm=180)),
        ("1.2 m long, 180 wide, 32 thick", line(**SIZED)),
        ("6 boards 180 mm wide", line(6, width_mm=180)),
        ("6 pcs. of white oak, 27 mm", line(6, species="white oak", thickness_mm=27)),
        ("white oak", line(species="white oak")),
        ("QUERCUS alba 27 mm", line(species="white oak", thickness_mm=27)),
        ("6 yellow-poplar 27 mm quartersawn", None),
        (
            "3 white oak 52 mm, 210-260 mm wide, 2.4 m",
            line(
                3,
                species="white oak",
                thickness_mm=52,
                width_mm=210,
                width_end_mm=260,
                length_mm=2400,
            ),
        ),
        (
            "3 slabs 52 mm x 260–210 mm x 2.4 m live edge",
            line(3, thickness_mm=52, width_mm=210, width_end_mm=260, length_mm=2400),
        ),
        ("52 mm, 210 to 260 mm", line(thickness_mm=52, width_mm=210, width_end_mm=260)),
        ('2" x 8-10 in', line(thickness_mm=50.8, width_mm=203.2, width_end_mm=254)),
        ("3 live oak 27 mm waney-edged", line(3, species="live oak", thickness_mm=27)),
        ("W7: 32 x 180 x 1200", line(**SIZED, marks=("W7",))),
        ("W7, W8 W9: 27 mm", line(3, thickness_mm=27, marks=("W7", "W8", "W9"))),
        ("3 boards 27 mm marks W7 W8 W9", line(3, thickness_mm=27, marks=("W7", "W8", "W9"))),
        ("marks W7, W8", line(2, marks=("W7", "W8"))),
        ("W08-W10: 27 mm", line(3, thickness_mm=27, marks=("W08", "W09", "W10"))),
        ("6 boards: 27 mm", line(6, thickness_mm=27)),
        ("27 mm turn 3 of 9", line(thickness_mm=27, turns=("3 of 9",))),
        ("turn 3, 27 mm", line(thickness_mm=27, turns=("3",))),
        ("slab 3 of 9, 52 mm", line(thickness_mm=52, turns=("3 of 9",))),
        (
            "6 boards 27 mm turns 3-8 of 9",
            line(6, thickness_mm=27, turns=tuple(f"{turn} of 9" for turn in range(3, 9))),
        ),
        (
            "turns 1, 3 and 5 of 9 27 mm",
            line(3, thickness_mm=27, turns=("1 of 9", "3 of 9", "5 of 9")),
        ),
        ("500 boards 27 mm", line(500, thickness_mm=27)),
    ],
)
def test_boards_as_people_write_them(text: str, read: BoardLine | None) -> None:
    if read is None:
        read = line(6, species="yellow-poplar", thickness_mm=27, grain="quarter")
    assert the_line(text) == read


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("6 x 5/4 x 7 x 8", line(6, **IN_INCHES)),
        ("1 1/4 x 7 x 8", line(**IN_INCHES)),
        ("32 mm x 180 x 1200", line(**SIZED)),
        ("32 x 180 x 1200 mm", line(**SIZED)),
        ("32 x 180 mm x 1.2 m", line(**SIZED)),
        ("1 x 6 x 8", None),
    ],
)
def test_bare_numbers_follow_the_person_and_then_their_neighbours(
    text: str, read: BoardLine | None
) -> None:
    if read is None:
        read = line(thickness_mm=25.4, width_mm=152.4, length_mm=8 * FT)
    assert the_line(text, INCH) == read


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("0 boards", "expected 1 to 500 boards in one line; found 0"),
        ("501 boards", "expected 1 to 500 boards in one line; found 501"),
        ("-3 boards", "expected a whole number of boards in front; found “-3”"),
        ("1e9 boards", "found “1e9”"),
        ("1.5 boards", "found “1.5”"),
        ("½ boards", "found “1/2”"),
        ("9999999999 boards", "found “9999999999”"),
        ("10", "“10 boards” or “1 board 10 mm”"),
        ("6 x 32 mm", "“6 boards 32 mm” or “1 board 6 x 32 mm”"),
        ("6 x 32 x 180", "“6 boards 32 x 180” or “1 board 6 x 32 x 180”"),
        ("32, 180, 1200", "whether “32” is a count or a thickness"),
        ("32,180,1200", "expected sizes with x between them, such as 32 x 180 x 1200"),
        ("6 boards 180 mm x 1.2 m", "“180 mm thick” or “180 mm wide”"),
        ("6 boards 32 mm, 1200", "“1200 long” or “1200 wide”"),
        ("6 boards 32 x 180 x 1.2", "length: expected millimetres from 30 to 40000"),
        ("6 boards 32 x 180 x 1.2", "was 1.2 m meant?"),
        ("6 boards 1 mm", "thickness: expected millimetres from 3 to 600"),
        ("40 mm x 7/4 x 1200", "in quarters of an inch, is a thickness"),
        ("27-32 mm", "a range, and only a live edge's width has one"),
        ("32 mm thick 30 mm thick", "expected one thickness; found “32 mm” and “30 mm”"),
        ("32 x 180 x 1200 x 40 x 3", "at most thickness, width and length"),
        ("32 wide x 180 wide", "expected one width"),
        ("6 boards 27 mm flat quarter", "one of flat, quarter, mixed; found two"),
        ("6 boards wobble 27 mm", "“wobble” is not in the species table"),
        ("6 oak 27 mm", "“oak” may mean several: write one of"),
        ("walnut-ish 27 mm frozen", "found “walnut-ish” and “frozen”"),
        ("6 boards 27 mm marks W1 W2", "found 2 marks for 6 boards"),
        ("6 boards 27 mm turns 3-7 of 9", "found 5 turns for 6 boards"),
        ("turn 10 of 9", "expected turns up to 9; found turn 10 of 9"),
        ("turns 8-3 of 9", "expected turns that count up from 1"),
        ("turns 0-3 of 9", "expected turns that count up from 1"),
        ("turns 3, 3 of 9", "each once"),
        ("turns 1-9000 of 9000", "at most 500 turns"),
        ("turn first", "expected a turn in the log"),
        ("turn 1 of 9 turn 2 of 9", "the turns once in a line"),
        (": 27 mm", "expected marks before the colon"),
        ("marks W1 W1", "“W1” stands here twice"),
        ("mark W7 32 x 180 x 1200", "expected the marks last"),
        ("W1-W900: 27 mm", "count up by at most 500"),
        ("W9-W2: 27 mm", "count up by at most 500"),
        ("x" * 61 + ": 27 mm", "expected a mark of 1 to 60 signs"),
        ("<b>6</b> boards", "found “<b>6</b>”"),
        ("6 boards <script>alert(1)</script>", "expected boards, such as"),
        ("🌲 27 mm", "found “🌲”"),
        ("לוחות 27 mm", "“לוחות” is not in the species table"),
        ("٦ boards 27 mm", "found “٦”"),
        ("6 boards \x00 27 mm", "a sign that cannot be printed"),
        ("6 boards " * 1200, "expected a line of at most 4000 signs"),
        ("1.2.3 x 4", "with x between them"),
        ("12345678901 x 3", "found “12345678901”"),
        ("", "expected boards, such as “6 boards 32 mm x 180 mm x 1.2 m flat”"),
        ("\n \n\t\n", "expected boards, such as"),
    ],
)
def test_what_is_no_line_of_boards_is_refused_and_says_what_was_expected(
    text: str, said: str
) -> None:
    sentence = the_refusal(text)
    assert said in sentence
    assert sentence.startswith("Line 1: ")
    assert sentence[-1] in ".?"


def test_millimetres_typed_by_a_person_of_inches_are_asked_about() -> None:
    assert "was 32 mm meant?" in the_refusal("6 boards 32", INCH)


def test_every_faulty_line_is_told_and_blank_lines_count() -> None:
    text = "6 boards 27 mm\r\n\r\nten trees\r3 boards 40 mm\n0 boards"
    lines, refusals = board_lines(text, METRIC)
    assert [(one.line, one.count) for one in lines] == [(1, 6), (4, 3)]
    assert [one.line for one in refusals] == [3, 5]


def test_two_thousand_boards_at_once_and_no_more() -> None:
    lines, refusals = board_lines("500 boards\n" * 4, METRIC)
    assert (sum(one.count for one in lines), refusals) == (2000, [])
    _lines, refusals = board_lines("500 boards\n" * 4 + "1 board\n1 board", METRIC)
    assert [str(one) for one in refusals] == [
        "Line 5: expected at most 2000 boards at once; with this line it is 2001."
    ]


def made(
    text: str, defaults: BoardDefaults = OAK, plan: MarkPlan = FROM_W1
) -> tuple[list[BoardEntry], list[LineRefusal]]:
    lines, refusals = board_lines(text, METRIC)
    assert not refusals
    return boards_of_lines(lines, defaults, plan)


def test_lines_become_boards_with_marks_and_defaults() -> None:
    defaults = replace(OAK, log="L3", sawn_on=date(2026, 5, 1), target_pct=12, grain="mixed")
    text = "2 boards turns 3-4 of 9\nW2: white ash 40 x 180-200 x 2400 flat"
    boards, refusals = made(text, defaults)
    assert not refusals
    same: dict[str, Any] = {
        "stacked_on": A_DAY,
        "log": "L3",
        "sawn_on": date(2026, 5, 1),
        "target_pct": 12,
    }
    assert boards == [
        BoardEntry("W1", "white oak", 27, grain="mixed", turn="3 of 9", **same),
        BoardEntry("W3", "white oak", 27, grain="mixed", turn="4 of 9", **same),
        BoardEntry(
            "W2",
            "white ash",
            40,
            width_mm=180,
            width_end_mm=200,
            length_mm=2400,
            grain="flat",
            **same,
        ),
    ]


def test_five_hundred_boards_in_one_line_get_five_hundred_marks() -> None:
    taken = frozenset({"W10", "W11"})
    boards, refusals = made("500 boards", plan=MarkPlan("W", 5, taken=taken))
    marks = [board.board for board in boards]
    assert not refusals
    assert len(set(marks)) == 500
    assert marks[:7] == ["W5", "W6", "W7", "W8", "W9", "W12", "W13"]


@pytest.mark.parametrize(
    ("text", "defaults", "said"),
    [
        ("27 mm", BoardDefaults(A_DAY), "Line 1: expected a species"),
        ("white oak", BoardDefaults(A_DAY), "Line 1: expected a thickness, such as 32 mm or 5/4"),
        ("180 mm thick x 32 mm wide", OAK, "expected the thickness before the width"),
        ("W7: 27 mm", OAK, "there is already a board “W7” in the yard"),
        ("W1: 27 mm\nW1: 40 mm", OAK, "Line 2: expected each mark once"),
    ],
)
def test_lines_that_make_no_boards(text: str, defaults: BoardDefaults, said: str) -> None:
    _boards, refusals = made(text, defaults, MarkPlan("W", taken=frozenset({"W7"})))
    assert len(refusals) == 1
    assert said in str(refusals[0])


@pytest.mark.parametrize(
    ("marks", "plan"),
    [
        ([], MarkPlan("S1-")),
        (["W1", "W12", "W3"], MarkPlan("W", 13)),
        (["W1", "W2", "X9"], MarkPlan("W", 3)),
        (["7", "8"], MarkPlan("", 9)),
        (["top", "bottom"], MarkPlan("S1-")),
        (["B0001-09"], MarkPlan("B0001-", 10, 2)),
    ],
)
def test_marks_go_on_from_those_a_stack_has(marks: list[str], plan: MarkPlan) -> None:
    assert plan_marks("S1", marks) == plan


SIGNS = st.text("0123456789 .,;:/x×-–'\"inftmc boards marks turn of W ¼½\n", max_size=10_000)


@given(st.one_of(SIGNS, st.text(max_size=10_000)), st.sampled_from(list(Units)))
def test_any_text_is_boards_or_refusals(text: str, units: Units) -> None:
    lines, refusals = board_lines(text, units)
    assert lines or refusals
    assert all(1 <= one.count <= 500 for one in lines)
    assert all(str(one).startswith("Line ") and len(str(one)) < 2000 for one in refusals)
    boards, more = boards_of_lines(lines, OAK, MarkPlan("W"))
    refused = {one.line for one in more}
    assert len(boards) == sum(one.count for one in lines if one.line not in refused)
    assert len({board.board for board in boards}) == len(boards)


@given(
    st.integers(2, 500),
    st.integers(3, 150),
    st.integers(151, 600),
    st.integers(601, 40_000),
    st.sampled_from([" x ", "x", " × ", " by "]),
)
def test_count_and_sizes_come_back(
    count: int, thick: int, wide: int, long: int, times: str
) -> None:
    sizes: dict[str, Any] = {"thickness_mm": thick, "width_mm": wide, "length_mm": long}
    for words in (
        f"{count} boards {thick} mm{times}{wide} mm{times}{long} mm",
        f"{count}{times}{thick}{times}{wide}{times}{long}",
    ):
        assert the_line(words) == line(count, **sizes)


@pytest.mark.parametrize(
    "piece",
    ["1", "1 ", "1/", "1-", "x", "1x", "W", "W-", "a-", "marks ", "turn 1,", "' ", "8' ", ": "],
)
def test_a_line_as_long_as_can_be_is_answered_at_once(piece: str) -> None:
    began = time.perf_counter()
    board_lines((piece * 4000)[:4000], METRIC)
    board_lines("turns " + (piece * 4000)[:3900] + " of", METRIC)
    board_lines(piece * 10_000, METRIC)
    assert time.perf_counter() - began < 1
