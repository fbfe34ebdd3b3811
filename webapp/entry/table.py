"""A CSV file as it stands; every column keeps a text once, and every row the line it begins on."""

import codecs
import csv
import io
import re
from array import array
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

LARGEST_BYTES = 200_000_000
SEPARATORS = (",", ";", "\t")
_Rows = Iterator[tuple[int, list[str]]]
_ROWS_AT_ONCE = 20_000
_ENCODINGS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
_SEPARATOR_LINE = re.compile(r"sep=.\r?\n?")
_CSV_SENTENCES = (
    (
        "field larger",
        "a cell goes on and on: expected a shorter one, or the quotation mark that closes it",
    ),
    ("unexpected end", "the file ends inside a cell: expected the quotation mark that closes it"),
    ("expected after", "expected a separator after the closing quotation mark"),
)


class RefusedTable(ValueError):
    """A file that is no table at all; carries the line where that shows."""

    def __init__(self, line: int, sentence: str) -> None:
        super().__init__(sentence)
        self.line = line
        self.sentence = sentence


@dataclass
class Cells:
    """One column: each different text once, and for every row the number of its text."""

    texts: list[str]
    codes: NDArray[np.int32]


@dataclass
class Table:
    """The rows of a file; `ragged` tells line and cells of each row with too few or too many."""

    header: tuple[str, ...]
    header_line: int
    cells: list[Cells]
    lines: NDArray[np.int32]
    ragged: list[tuple[int, int]] = field(default_factory=list)


def read_table(data: bytes, names: Sequence[str]) -> Table:
    """Read the bytes of a file; the separator is the one that finds most of the column names."""
    encoding = _encoding_of(data)
    _refuse_odd_bytes(data, encoding)
    first_line = _header_line(data, encoding)
    rows = _rows(data, encoding, _separator_of(first_line, names))
    for line, row in rows:
        # The separator itself may have split such a line in two.
        if any(row) and not _SEPARATOR_LINE.fullmatch("?".join(row)):
            header = tuple(cell.strip().casefold() for cell in row)
            return _collect(_without_blank_tail(header), line, rows)
    raise RefusedTable(1, "the file is empty: expected a line of column names, " + ", ".join(names))


def _encoding_of(data: bytes) -> str:
    if len(data) > LARGEST_BYTES:
        limit = LARGEST_BYTES // 1_000_000
        raise RefusedTable(1, f"expected a file of at most {limit} MB: split it into several")
    return next((name for sign, name in _ENCODINGS if data.startswith(sign)), "utf-8")


def _refuse_odd_bytes(data: bytes, encoding: str) -> None:
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise RefusedTable(line, "expected text in UTF-8: save the sheet as “CSV UTF-8”") from None
    nul = text.find("\0")
    if nul >= 0:
        line = text.count("\n", 0, nul) + 1
        raise RefusedTable(line, "expected text; found a NUL sign: save the sheet as “CSV UTF-8”")


def _open(data: bytes, encoding: str) -> io.TextIOWrapper:
    # The lines' own ends stay, so that a cell with line breaks is read as written.
    return io.TextIOWrapper(io.BytesIO(data), encoding=encoding, newline="")


def _header_line(data: bytes, encoding: str) -> str:
    return next((text for text in _open(data, encoding) if _tells(text)), "")


def _tells(text: str) -> bool:
    return bool(text.strip(" \r\n\t,;")) and not _SEPARATOR_LINE.fullmatch(text)


def _separator_of(first_line: str, names: Sequence[str]) -> str:
    def found(separator: str) -> int:
        try:
            cells = next(csv.reader([first_line], delimiter=separator), [])
        except csv.Error:  # told when the rows are read
            return 0
        return len({cell.strip().casefold() for cell in cells} & set(names))

    return max(SEPARATORS, key=found)


def _rows(data: bytes, encoding: str, separator: str) -> _Rows:
    reader = csv.reader(_open(data, encoding), delimiter=separator, strict=True)
    begins = 1
    try:
        for row in reader:
            yield begins, row
            begins = reader.line_num + 1
    except csv.Error as error:
        raise RefusedTable(begins, _csv_sentence(str(error))) from None


def _csv_sentence(message: str) -> str:
    return next((said for sign, said in _CSV_SENTENCES if sign in message), f"no CSV: {message}")


def _without_blank_tail(header: tuple[str, ...]) -> tuple[str, ...]:
    while header and not header[-1]:
        header = header[:-1]
    return header


def _collect(header: tuple[str, ...], header_line: int, rows: _Rows) -> Table:
    width = len(header)
    gathered = _Gatherer(width)
    ragged: list[tuple[int, int]] = []
    for line, row in rows:
        if not any(row):
            continue
        if len(row) > width and not any(row[width:]):
            del row[width:]
        if len(row) == width:
            gathered.add(line, row)
        else:
            ragged.append((line, len(row)))
    return Table(header, header_line, gathered.cells(), gathered.all_lines(), ragged)


class _Gatherer:
    """Numbers the texts of each column, some thousand rows at once."""

    def __init__(self, width: int) -> None:
        self._numbers: list[defaultdict[str, int]] = [defaultdict() for _ in range(width)]
        for numbers in self._numbers:
            numbers.default_factory = numbers.__len__
        self._codes = [array("i") for _ in range(width)]
        self._lines = array("i")
        self._waiting: list[list[str]] = []

    def add(self, line: int, row: list[str]) -> None:
        self._lines.append(line)
        self._waiting.append(row)
        if len(self._waiting) >= _ROWS_AT_ONCE:
            self._number()

    def _number(self) -> None:
        columns = zip(*self._waiting, strict=True)
        for numbers, codes, column in zip(self._numbers, self._codes, columns, strict=False):
            codes.extend(map(numbers.__getitem__, column))
        self._waiting.clear()

    def cells(self) -> list[Cells]:
        self._number()
        return [
            Cells(list(numbers), np.frombuffer(codes, dtype=np.int32) if codes else _NONE)
            for numbers, codes in zip(self._numbers, self._codes, strict=True)
        ]

    def all_lines(self) -> NDArray[np.int32]:
        return np.frombuffer(self._lines, dtype=np.int32) if self._lines else _NONE


_NONE = np.zeros(0, dtype=np.int32)
