"""Check each new row beside the other files: what it names is there, and its day has come."""

from datetime import date, datetime, timedelta

import numpy as np

from webapp.entry import folder, kinds
from webapp.entry.folder import FILES, Column, FileKind
from webapp.entry.spreadsheet import Sheet
from webapp.yard.intake import Intake

_REFERENCES = (
    (folder.AIR, "place", folder.PLACES),
    (folder.BOARDS, "place", folder.PLACES),
    (folder.BOARDS, "log", folder.LOGS),
    (folder.MOVES, "stack", folder.STACKS),
    (folder.MOVES, "place", folder.PLACES),
    (folder.BOARD_MOVES, "board", folder.BOARDS),
    (folder.BOARD_MOVES, "stack", folder.STACKS),
    (folder.ROUNDS, "stack", folder.STACKS),
    (folder.READINGS, "board", folder.BOARDS),
    (folder.READINGS, "round", folder.ROUNDS),
    (folder.WITNESS_BOARDS, "place", folder.PLACES),
    (folder.WITNESS_READINGS, "board", folder.WITNESS_BOARDS),
    (folder.WITNESS_READINGS, "round", folder.ROUNDS),
)
# A clock elsewhere may already show tomorrow.
_A_DAY = timedelta(days=1)


def check_references(intake: Intake) -> None:
    """Refuse new rows that name something unknown, lie in the future or contradict themselves."""
    for file, column, named in _REFERENCES:
        _refuse_unknown(intake, file, column, named)
    for file in FILES:
        for column_ in file.columns:
            if column_.kind in (kinds.DAY, kinds.MOMENT):
                _refuse_future(intake, file, column_)
    for row, meter in intake.records(folder.METERS):
        _check_limits(intake.sheets[folder.METERS.name], row, meter)
    for row, visit in intake.records(folder.ROUNDS):
        _check_end(intake.sheets[folder.ROUNDS.name], row, visit)


def known_marks(intake: Intake, file: FileKind) -> set[str]:
    """Give the marks of a kind of thing, in the yard or in the folder."""
    known = {
        folder.PLACES: intake.known.places,
        folder.LOGS: intake.known.logs,
        folder.STACKS: intake.known.stacks,
        folder.BOARDS: intake.known.boards,
        folder.ROUNDS: intake.known.rounds,
        folder.METERS: intake.known.meters,
        folder.WITNESS_BOARDS: intake.known.witness_boards,
    }[file]
    return intake.marks(file) | set(known)


def _refuse_unknown(intake: Intake, file: FileKind, name: str, named: FileKind) -> None:
    sheet = intake.sheets.get(file.name)
    if sheet is None or not sheet.whole or not _all_named(intake, named):
        return
    known = known_marks(intake, named)
    column = sheet.columns[name]
    unknown = [value is not None and value not in known for value in column.values]
    if not any(unknown):
        return
    is_unknown = np.array(unknown, dtype=np.bool_)[column.codes]
    for row in np.flatnonzero(is_unknown & intake.new[file.name] & sheet.good).tolist():
        mark = column.values[column.codes[row]]
        what = named.name.removesuffix("s.csv").replace("_", " ")
        sheet.refuse(row, name, f"there is no {what} “{mark}” in {named.name} or in the yard")


def _all_named(intake: Intake, named: FileKind) -> bool:
    also = (folder.BOARDS,) if named is folder.STACKS else ()
    return all(intake.is_readable(file) for file in (named, *also))


def _refuse_future(intake: Intake, file: FileKind, column: Column) -> None:
    sheet = intake.sheets.get(file.name)
    if sheet is None or not sheet.whole:
        return
    cells = sheet.columns[column.name]
    future = [_is_future(value, intake.today) for value in cells.values]
    if not any(future):
        return
    is_future = np.array(future, dtype=np.bool_)[cells.codes]
    for row in np.flatnonzero(is_future & intake.new[file.name] & sheet.good).tolist():
        said = f"expected a day that has come; {cells.texts[cells.codes[row]]} is in the future"
        sheet.refuse(row, column.name, said)


def _is_future(value: date | datetime | None, today: date) -> bool:
    if isinstance(value, datetime):
        return value.date() > today + _A_DAY
    return value is not None and value > today


def _check_limits(sheet: Sheet, row: int, meter: dict[str, float | None]) -> None:
    over, under = meter["over_range_pct"], meter["under_range_pct"]
    if over is not None and under is not None and under >= over:
        sheet.refuse(row, "under_range_pct", "expected a limit below over_range_pct")


def _check_end(sheet: Sheet, row: int, visit: dict[str, datetime | None]) -> None:
    started_at, ended_at = visit["started_at"], visit["ended_at"]
    if started_at is not None and ended_at is not None and ended_at < started_at:
        sheet.refuse(row, "ended_at", "expected a time after started_at")
