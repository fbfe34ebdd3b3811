"""A file's columns through the parsers of the forms: checked values and refused cells."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from webapp.entry.fields import Unreadable
from webapp.entry.folder import Column, FileKind
from webapp.entry.table import Cells, RefusedTable, Table, read_table
from webapp.problems import Refusal


@dataclass
class CheckedColumn:
    """One column: each different cell read once, and for every row the number of its cell."""

    codes: NDArray[np.int32]
    values: list[Any]
    texts: list[str]

    def taken(self) -> list[Any]:
        """List the value of every row."""
        return [self.values[code] for code in self.codes.tolist()]

    def compared(self) -> list[str]:
        """List every row's value in the spelling in which equal values are equal."""
        return [self.texts[code] for code in self.codes.tolist()]


@dataclass
class Sheet:
    """The checked rows of one file; without a sound header it has none and is not `whole`."""

    file: FileKind
    lines: list[int] = field(default_factory=list)
    columns: dict[str, CheckedColumn] = field(default_factory=dict)
    good: NDArray[np.bool_] = field(default_factory=lambda: np.zeros(0, dtype=np.bool_))
    refusals: list[Refusal] = field(default_factory=list)
    whole: bool = True

    def __len__(self) -> int:
        """Count the rows, the refused ones too."""
        return len(self.lines)

    def refuse(self, row: int, column: str | None, sentence: str) -> None:
        """Refuse a row for something that shows only beside other rows."""
        self.good[row] = False
        self.refusals.append(Refusal(self.file.name, self.lines[row], column, sentence))

    def good_rows(self) -> list[int]:
        """List the numbers of the rows not refused so far."""
        return [int(row) for row in np.flatnonzero(self.good)]


def read_sheet(file: FileKind, data: bytes) -> Sheet:
    """Read one file of the folder."""
    try:
        table = read_table(data, file.names)
    except RefusedTable as refused:
        refusal = Refusal(file.name, refused.line, None, refused.sentence)
        return Sheet(file, refusals=[refusal], whole=False)
    trouble = list(_header_trouble(file, table.header))
    if trouble:
        refusals = [Refusal(file.name, table.header_line, name, said) for name, said in trouble]
        return Sheet(file, refusals=refusals, whole=False)
    return _checked(file, table)


def _header_trouble(file: FileKind, header: tuple[str, ...]) -> Iterator[tuple[str, str]]:
    for name in sorted(set(header)):
        if name not in file.names:
            yield name, f"unknown column: expected only {', '.join(file.names)}"
        elif header.count(name) > 1:
            yield name, "expected each column once; this name stands twice"
    for column in file.columns:
        if column.needed and column.name not in header:
            yield column.name, "this column is needed and is missing"


def _checked(file: FileKind, table: Table) -> Sheet:
    lines = table.lines.tolist()
    sheet = Sheet(file, lines, good=np.ones(len(lines), dtype=np.bool_))
    sheet.refusals.extend(_ragged(file, table))
    cells = dict(zip(table.header, table.cells, strict=True))
    for column in file.columns:
        if column.name in cells:
            sheet.columns[column.name] = _read_column(sheet, column, cells[column.name])
        else:
            sheet.columns[column.name] = _absent_column(column, len(lines))
    sheet.refusals.sort(key=lambda refusal: refusal.line or 0)
    return sheet


def _ragged(file: FileKind, table: Table) -> Iterable[Refusal]:
    width = len(table.header)
    for line, count in table.ragged:
        sentence = f"expected {width} cells, as in the header; found {count}"
        yield Refusal(file.name, line, None, sentence)


def _absent_column(column: Column, count: int) -> CheckedColumn:
    codes = np.zeros(count, dtype=np.int32)
    return CheckedColumn(codes, [column.default], [column.compare(column.default)])


def _read_column(sheet: Sheet, column: Column, cells: Cells) -> CheckedColumn:
    values: list[Any] = []
    texts: list[str] = []
    wrong: dict[int, str] = {}
    for code, text in enumerate(cells.texts):
        try:
            value = column.read(text)
        except Unreadable as error:
            wrong[code] = str(error)
            value = None
        values.append(value)
        texts.append(column.compare(value))
    if wrong:
        _refuse_cells(sheet, column, cells, wrong)
    return CheckedColumn(cells.codes, values, texts)


def _refuse_cells(sheet: Sheet, column: Column, cells: Cells, wrong: dict[int, str]) -> None:
    is_wrong = np.zeros(len(cells.texts), dtype=np.bool_)
    is_wrong[list(wrong)] = True
    rows = np.flatnonzero(is_wrong[cells.codes])
    sheet.good[rows] = False
    for row, code in zip(rows.tolist(), cells.codes[rows].tolist(), strict=True):
        sheet.refusals.append(Refusal(sheet.file.name, sheet.lines[row], column.name, wrong[code]))
