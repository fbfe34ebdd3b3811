"""Tell new rows from those already in the yard: by id, by mark, or by counting equal rows."""

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray
from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.entry import folder
from webapp.entry.folder import FILES, FileKind
from webapp.entry.spreadsheet import Sheet
from webapp.records import (
    Air,
    Batch,
    Board,
    BoardStay,
    Log,
    Meter,
    Place,
    Reading,
    Record,
    Round,
    Stack,
    StackStay,
    WitnessBoard,
)
from webapp.yard.folder_rows import all_moves, rows_of, texts_of
from webapp.yard.intake import Intake

TABLES: dict[str, type[Record]] = {
    folder.PLACES.name: Place,
    folder.AIR.name: Air,
    folder.METERS.name: Meter,
    folder.LOGS.name: Log,
    folder.STACKS.name: Stack,
    folder.BOARDS.name: Board,
    folder.MOVES.name: StackStay,
    folder.BOARD_MOVES.name: BoardStay,
    folder.ROUNDS.name: Round,
    folder.READINGS.name: Reading,
    folder.WITNESS_BOARDS.name: WitnessBoard,
    folder.WITNESS_READINGS.name: Reading,
}
_STRIKE = ("struck_on", "struck_why")
_AT_ONCE = 10_000
Texts = tuple[str, ...]


def sort_out(session: Session, intake: Intake) -> None:
    """Mark the new rows of every sheet, and refuse those that contradict the yard or each other."""
    for file in FILES:
        sheet = intake.sheets.get(file.name)
        if sheet is None or not sheet.whole:
            continue
        _refuse_twice(sheet, "id")
        if file.mark is not None:
            _refuse_twice(sheet, file.mark)
        there = _existing(session, file, intake)
        by_id = {row[0]: row for row in there}
        is_new = sheet.good.copy()
        _sort_out_ids(sheet, by_id, is_new)
        _refuse_other_records(session, sheet, is_new)
        if file.mark is None:
            _sort_out_by_count(sheet, there, is_new)
        else:
            _sort_out_by_mark(sheet, file.mark, there, is_new)
        intake.new[file.name] = is_new


def _existing(session: Session, file: FileKind, intake: Intake) -> list[Texts]:
    if file is folder.MOVES:
        return list(texts_of(file, all_moves(intake.known), compare=True))
    marks = (
        set(intake.values(file, "board")) if file.mark is None and "board" in file.names else None
    )
    return list(texts_of(file, rows_of(session, file, intake.known, marks), compare=True))


def _refuse_twice(sheet: Sheet, name: str) -> None:
    column = sheet.columns[name]
    counts = Counter(value for value in column.taken() if value is not None)
    if len(counts) == counts.total():
        return
    first: dict[object, int] = {}
    for row, value in enumerate(column.taken()):
        if value is None or counts[value] == 1:
            continue
        if value in first:
            sheet.refuse(row, name, f"“{value}” stands already on line {sheet.lines[first[value]]}")
        else:
            first[value] = row


def _texts(sheet: Sheet, rows: Sequence[int], *, without: Sequence[str] = ()) -> Iterator[Texts]:
    columns = [sheet.columns[name] for name in sheet.file.names if name not in without]
    numbers = [column.codes[list(rows)].tolist() for column in columns]
    return (
        tuple(column.texts[code] for column, code in zip(columns, codes, strict=True))
        for codes in zip(*numbers, strict=True)
    )


def _rows(mask: NDArray[np.bool_]) -> list[int]:
    return [int(row) for row in np.flatnonzero(mask)]


def _with_id(sheet: Sheet) -> NDArray[np.bool_]:
    column = sheet.columns["id"]
    return np.array([value is not None for value in column.values], dtype=np.bool_)[column.codes]


def _sort_out_ids(sheet: Sheet, by_id: dict[str, Texts], is_new: NDArray[np.bool_]) -> None:
    rows = _rows(is_new & _with_id(sheet)) if by_id else []
    for row, texts in zip(rows, _texts(sheet, rows), strict=True):
        there = by_id.get(texts[0])
        if there is None:
            continue
        is_new[row] = False
        if there != texts:
            differing = _differing(sheet.file, texts, there)
            sheet.refuse(row, "id", f"this id is already in the yard with another {differing}")


def _differing(file: FileKind, texts: Texts, there: Texts) -> str:
    return ", ".join(
        f"{name} (there “{old}”)"
        for name, new, old in zip(file.names, texts, there, strict=True)
        if new != old and name != "id"
    )


def _refuse_other_records(session: Session, sheet: Sheet, is_new: NDArray[np.bool_]) -> None:
    """Refuse new rows whose id belongs to something struck, or to another board's reading."""
    rows = _rows(is_new & _with_id(sheet))
    uids = sheet.columns["id"].taken()
    table = TABLES[sheet.file.name]
    for begin in range(0, len(rows), _AT_ONCE):
        some = {uids[row]: row for row in rows[begin : begin + _AT_ONCE]}
        wanted = select(table.uid, Batch.undone_at).join(table.batch)
        for uid, undone_at in session.execute(wanted.where(table.uid.in_(list(some)))):
            is_new[some[uid]] = False
            said = "this id already belongs to another record of the yard, or to a struck one"
            if undone_at is not None:
                said = "this id came in before, and that was undone: redo it in the history instead"
            sheet.refuse(some[uid], "id", said)


def _sort_out_by_mark(
    sheet: Sheet, mark: str, there: Sequence[Texts], is_new: NDArray[np.bool_]
) -> None:
    place = sheet.file.names.index(mark)
    by_mark = {row[place]: row for row in there}
    rows = _rows(is_new) if by_mark else []
    for row, texts in zip(rows, _texts(sheet, rows), strict=True):
        old = by_mark.get(texts[place])
        if old is None:
            continue
        is_new[row] = False
        if texts[0]:
            sheet.refuse(row, mark, f"“{texts[place]}” is already in the yard under another id")
        elif texts[1:] != old[1:]:
            differing = _differing(sheet.file, texts, old)
            said = f"“{texts[place]}” is already in the yard with another {differing}"
            sheet.refuse(row, mark, said)


def _sort_out_by_count(sheet: Sheet, there: Sequence[Texts], is_new: NDArray[np.bool_]) -> None:
    rows = _rows(is_new & ~_with_id(sheet)) if there else []
    if not rows:
        return
    claimed = set(sheet.columns["id"].texts)
    pool = _pool(sheet.file, (row for row in there if row[0] not in claimed))
    strikes = _strikes(sheet, rows)
    texts_of_rows = _texts(sheet, rows, without=("id", *_STRIKE))
    for row, texts, strike in zip(rows, texts_of_rows, strikes, strict=True):
        left = pool.get(texts)
        if not left:
            continue
        is_new[row] = False
        if strike in left:
            left.remove(strike)
        elif any(strike):
            said = "this reading is already in the yard, and not struck out there"
            sheet.refuse(row, "struck_on", said)
        else:
            # The yard's own strike came after the file was written, and holds.
            left.pop()


def _strikes(sheet: Sheet, rows: Sequence[int]) -> list[Texts]:
    others = [name for name in sheet.file.names if name not in _STRIKE]
    # A file whose rows cannot be struck gives each an empty strike.
    return list(_texts(sheet, rows, without=others)) or [()] * len(rows)


def _pool(file: FileKind, there: Iterator[Texts]) -> dict[Texts, list[Texts]]:
    kept = [index for index, name in enumerate(file.names) if name not in ("id", *_STRIKE)]
    struck = [index for index, name in enumerate(file.names) if name in _STRIKE]
    pool: dict[Texts, list[Texts]] = defaultdict(list)
    for row in there:
        key = tuple(row[index] for index in kept)
        pool[key].append(tuple(row[index] for index in struck))
    return pool
