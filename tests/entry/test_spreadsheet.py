from datetime import date

import pytest

from webapp.entry.folder import BOARDS, FILES, MOVES, PLACES, READINGS, FileKind
from webapp.entry.spreadsheet import read_sheet


def test_it_works() -> None:
    sheet = read_sheet(
        READINGS, b'board,read_on,reading\nW7,2024-05-31,"13,5"\nW8,2024-05-31,>30\n'
    )
    assert sheet.whole
    assert sheet.refusals == []
    assert sheet.columns["board"].taken() == ["W7", "W8"]
    assert sheet.columns["read_on"].taken() == [date(2024, 5, 31)] * 2
    assert sheet.columns["reading"].compared() == ["13.5", ">30"]
    assert sheet.columns["meter"].taken() == [None, None]


def test_every_bad_cell_is_told_with_line_and_column() -> None:
    sheet = read_sheet(
        READINGS,
        b"board,read_on,reading,temperature_c\n"
        b"W7,31/05/2024,13,5\n"
        b"W7,2024-05-31,-3,5\n"
        b",2024-05-31,wet,hot\n"
        b"W7,2024-05-31\n"
        b"W7,2024-05-31,12,\n",
    )
    places = [(refusal.line, refusal.column) for refusal in sheet.refusals]
    assert places == [
        (2, "read_on"),
        (3, "reading"),
        (4, "board"),
        (4, "reading"),
        (4, "temperature_c"),
        (5, None),
    ]
    assert all(refusal.file == "readings.csv" for refusal in sheet.refusals)
    assert "expected 4 cells, as in the header; found 2" in sheet.refusals[-1].sentence
    assert sheet.good_rows() == [3]


@pytest.mark.parametrize(
    ("header", "column", "sentence"),
    [
        ("board,read_on", "reading", "is needed and is missing"),
        (
            "board,read_on,reading,colour",
            "colour",
            "unknown column: expected only id, board, read_on",
        ),
        ("board,read_on,reading,board", "board", "stands twice"),
        ("board,read_on,reading,,note", "", "unknown column"),
    ],
)
def test_a_faulty_header_is_refused(header: str, column: str, sentence: str) -> None:
    sheet = read_sheet(READINGS, f"{header}\n".encode())
    assert not sheet.whole
    assert [(refusal.line, refusal.column) for refusal in sheet.refusals] == [(1, column)]
    assert sentence in sheet.refusals[0].sentence


def test_a_place_with_eleven_months() -> None:
    names = [name for name in PLACES.names if name not in {"rh_12", "id", "air_of"}]
    sheet = read_sheet(PLACES, ",".join(names).encode())
    assert [(refusal.column) for refusal in sheet.refusals] == ["rh_12"]


def test_an_empty_file_and_a_file_with_a_header_only() -> None:
    empty = read_sheet(MOVES, b"")
    assert not empty.whole
    assert "the file is empty" in empty.refusals[0].sentence
    header = read_sheet(MOVES, b"stack,moved_on,place\n")
    assert header.whole
    assert len(header) == 0
    assert header.refusals == []


def test_a_text_guarded_against_formulas_is_read_without_its_guard() -> None:
    sheet = read_sheet(READINGS, b"board,read_on,reading,note\n'-7,2024-05-31,13,'=1+1\n")
    assert sheet.columns["board"].taken() == ["-7"]
    assert sheet.columns["note"].taken() == ["=1+1"]
    assert sheet.columns["note"].compared() == ["'=1+1"]


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.name)
def test_each_file_begins_with_its_id_and_can_be_sorted(file: FileKind) -> None:
    assert file.names[0] == "id"
    assert set(file.order) <= set(file.names)


def test_a_text_that_stands_in_many_rows_is_read_once() -> None:
    data = (
        b"board,stack,species,thickness_mm,stacked_on,place\n"
        + b"B,S,white oak,32,2024-05-31,shed\n" * 5000
    )
    sheet = read_sheet(BOARDS, data)
    assert len(sheet) == 5000
    assert sheet.columns["species"].values == ["white oak"]
