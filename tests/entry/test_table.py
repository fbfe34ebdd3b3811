import pytest

from webapp.entry import table
from webapp.entry.table import RefusedTable, Table, read_table

NAMES = ("board", "read_on", "reading", "note")


def rows(read: Table) -> list[tuple[str, ...]]:
    columns = [[cells.texts[code] for code in cells.codes] for cells in read.cells]
    return list(zip(*columns, strict=True))


@pytest.mark.parametrize(
    "text",
    [
        "board,reading\nW7,13.5\n",
        "board;reading\r\nW7;13.5\r\n",
        "Board\treading\nW7\t13.5",
        " board , READING ,,\nW7,13.5,,\n,,,\n",
        "\n\nsep=;\nboard;reading\nW7;13.5\n",
        "sep=,\nboard,reading\nW7,13.5\n",
    ],
)
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_what_spreadsheets_write(text: str, encoding: str) -> None:
    read = read_table(text.encode(encoding), NAMES)
    assert read.header == ("board", "reading")
    assert rows(read) == [("W7", "13.5")]
    assert not read.ragged


def test_decimal_commas_between_semicolons() -> None:
    assert rows(read_table(b"board;reading\nW7;13,5\n", NAMES)) == [("W7", "13,5")]


def test_a_row_has_the_line_it_begins_on() -> None:
    text = 'board,note\nA,"one\ntwo ""quoted"", three"\n\nB,x\r\nC,"y\r\nz"\nD,\n'
    read = read_table(text.encode(), NAMES)
    assert read.lines.tolist() == [2, 5, 6, 8]
    assert rows(read)[0] == ("A", 'one\ntwo "quoted", three')


def test_ragged_rows_are_told_with_their_lines() -> None:
    read = read_table(b"board,reading\nA\nB,1,2\nC,3\n", NAMES)
    assert read.ragged == [(2, 1), (3, 3)]
    assert rows(read) == [("C", "3")]


@pytest.mark.parametrize(
    ("data", "line", "sentence"),
    [
        (b"", 1, "the file is empty"),
        (b"\xef\xbb\xbf\n ,,\n\n", 1, "unknown"),
        (b"\n\n", 1, "the file is empty"),
        (b"board,note\nA,caf\xe9\n", 2, "UTF-8"),
        (b"board,note\nA,x\nB,\0\n", 3, "NUL"),
        ("board,note\nA,x\n".encode("utf-16-le"), 1, "NUL"),
        (b'board,note\nA,x\nB,"open\nand open', 3, "the file ends inside a cell"),
        (b'board,note\nA,"x"y\n', 2, "separator after the closing quotation mark"),
        (b'board,note\nA,"' + b"x\n" * 100_000, 2, "quotation mark that closes"),
        (b"board" * 50_000 + b",note\nA,x\n", 1, "a cell goes on and on"),
        (b'board,"note' + b"x" * 200_000, 1, "a cell goes on and on"),
    ],
)
def test_what_is_no_table(data: bytes, line: int, sentence: str) -> None:
    if sentence == "unknown":
        assert read_table(data, NAMES).header == ()
        return
    with pytest.raises(RefusedTable) as refused:
        read_table(data, NAMES)
    assert refused.value.line == line
    assert sentence in refused.value.sentence


def test_a_very_long_line_of_names_is_read() -> None:
    names = ",".join(["board", *(f"name_{number}" for number in range(20_000))])
    assert len(read_table(f"{names}\n".encode(), NAMES).header) == 20_001


def test_a_file_above_the_limit_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(table, "LARGEST_BYTES", 10)
    with pytest.raises(RefusedTable, match="expected a file of at most"):
        read_table(b"board,reading\n", NAMES)


def test_more_rows_than_are_numbered_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(table, "_ROWS_AT_ONCE", 3)
    text = "board,reading\n" + "".join(f"B{n % 4},{n}\n" for n in range(10))
    read = read_table(text.encode(), NAMES)
    assert rows(read) == [(f"B{n % 4}", str(n)) for n in range(10)]
    assert read.cells[0].texts == ["B0", "B1", "B2", "B3"]
