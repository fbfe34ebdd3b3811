"""Notice readings that look like a slip of the finger; they are kept, and remarked on."""

import numpy as np
from numpy.typing import NDArray
from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.entry import folder
from webapp.entry.reading_text import ShownReading
from webapp.entry.spreadsheet import Sheet
from webapp.entry.surprise import is_surprising, surprise_sentence
from webapp.records import Meter
from webapp.yard.folder_rows import rows_of
from webapp.yard.intake import Intake, Note

_ENOUGH = 3
Numbers = NDArray[np.float64]
_BOARD, _READ_ON, _READING = (
    folder.READINGS.names.index(name) for name in ("board", "read_on", "reading")
)


def notice_slips(session: Session, intake: Intake) -> None:
    """Note the new readings far from their board's neighbours in time, or beyond their meter."""
    sheet = intake.sheets.get(folder.READINGS.name)
    if sheet is None or not sheet.whole or not intake.rows(folder.READINGS):
        return
    rows = np.flatnonzero(intake.new[folder.READINGS.name] & sheet.good)
    value, limit = _values(sheet, rows)
    lowest, highest = _near(session, intake, sheet, rows, np.where(limit > 0, np.inf, value))
    over_range = _over_range(session, intake, sheet)[sheet.columns["meter"].codes[rows]]
    with np.errstate(invalid="ignore"):
        asked = (limit == 0) & is_surprising(value, lowest, highest, over_range)
    cells = sheet.columns["reading"]
    for index in np.flatnonzero(asked).tolist():
        row = int(rows[index])
        shown = cells.values[cells.codes[row]].shown
        said = surprise_sentence(
            shown, value[index], lowest[index], highest[index], over_range[index]
        )
        intake.notes.append(
            Note(folder.READINGS.name, sheet.lines[row], "reading", said + " (kept)")
        )


def _value(read: ShownReading | None) -> float:
    return np.nan if read is None or read.value is None else read.value


def _side(read: ShownReading | None) -> int:
    return 0 if read is None else int(read.over) - int(read.under)


def _values(sheet: Sheet, rows: NDArray[np.int64]) -> tuple[Numbers, NDArray[np.int64]]:
    cells = sheet.columns["reading"]
    codes = cells.codes[rows]
    value = np.array([_value(read) for read in cells.values], dtype=float)[codes]
    side = np.array([_side(read) for read in cells.values], dtype=np.int64)[codes]
    return value, side


def _near(
    session: Session, intake: Intake, sheet: Sheet, rows: NDArray[np.int64], value: Numbers
) -> tuple[Numbers, Numbers]:
    """Give for each row the range of the board's two readings before and two after it."""
    marks = sheet.columns["board"]
    board = marks.codes[rows].astype(np.int64)
    day = np.array([found.toordinal() if found else 0 for found in sheet.columns["read_on"].values])
    day = day[sheet.columns["read_on"].codes[rows]]
    kept = _kept(session, intake, marks.values)
    board = np.concatenate([board, [row[0] for row in kept]]).astype(np.int64)
    day = np.concatenate([day, [row[1] for row in kept]])
    value = np.concatenate([value, [row[2] for row in kept]])
    order = np.lexsort((day, board))
    value, board = value[order], board[order]
    near = np.vstack([_shifted(value, board, by) for by in (-2, -1, 1, 2)])
    lowest, highest = np.empty_like(value), np.empty_like(value)
    lowest[order], highest[order] = _extremes(near)
    return lowest[: len(rows)], highest[: len(rows)]


def _extremes(near: Numbers) -> tuple[Numbers, Numbers]:
    """Give lowest and highest of each column; of three or more, one outlier a side is left out."""
    ranked = np.sort(near, axis=0)
    count = (~np.isnan(near)).sum(axis=0)
    spare = (count >= _ENOUGH).astype(np.int64)
    column = np.arange(near.shape[1])
    return ranked[spare, column], ranked[np.maximum(count - 1 - spare, 0), column]


def _shifted(value: Numbers, board: NDArray[np.int64], by: int) -> Numbers:
    """Give the reading so many places earlier or later, where it is of the same board."""
    places = np.arange(len(value)) + by
    there = (places >= 0) & (places < len(value))
    there[there] = board[places[there]] == board[there]
    shifted = np.full_like(value, np.nan)
    shifted[there] = value[places[there]]
    return shifted


def _kept(
    session: Session, intake: Intake, marks: list[str | None]
) -> list[tuple[int, int, float]]:
    numbers = {mark: number for number, mark in enumerate(marks) if mark in intake.known.boards}
    if not numbers:
        return []
    return [
        (
            numbers[row[_BOARD]],
            row[_READ_ON].toordinal(),
            np.inf if row[_READING].over else _value(row[_READING]),
        )
        for row in rows_of(session, folder.READINGS, intake.known, [m for m in numbers if m])
        if row[_BOARD] in numbers
    ]


def _over_range(session: Session, intake: Intake, sheet: Sheet) -> Numbers:
    known = select(Meter.name, Meter.over_range_pct).where(Meter.live())
    limits: dict[str | None, float | None] = {row[0]: row[1] for row in session.execute(known)}
    names = intake.values(folder.METERS, "meter")
    limits.update(zip(names, intake.values(folder.METERS, "over_range_pct"), strict=True))
    return np.array([limits.get(name) for name in sheet.columns["meter"].values], dtype=float)
