"""Check new readings beside stays and rounds, and find the meters nobody described."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from itertools import pairwise

import numpy as np

from webapp.entry import folder
from webapp.entry.folder import FileKind
from webapp.entry.spreadsheet import Sheet
from webapp.yard.check_references import known_marks
from webapp.yard.follow_stays import Chains, Start
from webapp.yard.intake import Intake, Note

READING_FILES = (folder.READINGS, folder.WITNESS_READINGS)
# The clock of a phone and the day in the file may lie in two time zones.
_A_DAY = timedelta(days=1)


def check_readings(intake: Intake, boards: Chains) -> None:
    """Refuse readings before stacking, in no stack, or that contradict their round or time."""
    rounds = _stacks_of_rounds(intake)
    for file in READING_FILES:
        sheet = intake.sheets.get(file.name)
        if sheet is None or not sheet.whole:
            continue
        _check_times(intake, file, sheet)
        if file is folder.READINGS:
            _check_stays(intake, sheet, boards)
            _check_rounds(intake, sheet, boards, rounds)


def unlisted_meters(intake: Intake) -> list[str]:
    """Name the meters that readings name and nobody described; each gets a note."""
    if not intake.is_readable(folder.METERS):
        return []
    known = known_marks(intake, folder.METERS)
    found: dict[str, Note] = {}
    for file in READING_FILES:
        meters = intake.values(file, "meter")
        for row in intake.rows(file):
            meter = meters[row]
            if meter is not None and meter not in known and meter not in found:
                said = (
                    f"“{meter}” is not in meters.csv: taken as a pin meter, as_shown, compensated"
                )
                found[meter] = Note(file.name, intake.sheets[file.name].lines[row], "meter", said)
    intake.notes.extend(found.values())
    return list(found)


def _stacks_of_rounds(intake: Intake) -> dict[str, str]:
    rounds = intake.values(folder.ROUNDS, "round")
    return dict(zip(rounds, intake.values(folder.ROUNDS, "stack"), strict=True))


def _ordinals(days: list[date | None]) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    return np.array([day.toordinal() if day else 0 for day in days], dtype=np.int64)


def _check_stays(intake: Intake, sheet: Sheet, boards: Chains) -> None:
    marks, days = sheet.columns["board"], sheet.columns["read_on"]
    chains = [boards.get(mark) for mark in marks.values]
    begun = _ordinals([chain[0].on if chain else None for chain in chains])[marks.codes]
    away = np.array(
        [any(stay.where is None for stay in chain or ()) for chain in chains],
        dtype=np.bool_,
    )[marks.codes]
    early = _ordinals(days.values)[days.codes] < begun
    looked_at = intake.new[sheet.file.name] & sheet.good
    for row in np.flatnonzero(looked_at & (early | away)).tolist():
        chain = chains[marks.codes[row]] or []
        day = days.values[days.codes[row]]
        mark = marks.values[marks.codes[row]]
        if early[row]:
            said = f"board “{mark}” was stacked on {chain[0].on}; a reading cannot be earlier"
            sheet.refuse(row, "read_on", said)
        elif not any(_wheres(chain, day)):
            sheet.refuse(
                row, "read_on", f"board “{mark}” lay in none of the yard's stacks on {day}"
            )


def _wheres(chain: list[Start], day: date) -> Iterator[str | None]:
    """Give where a board lay on a day; on the day of a move, both."""
    for stay, following in pairwise([*chain, None]):
        if stay is not None and stay.on <= day and (following is None or day <= following.on):
            yield stay.where


def _check_rounds(intake: Intake, sheet: Sheet, boards: Chains, rounds: dict[str, str]) -> None:
    visits = sheet.columns["round"]
    told = np.array([visit in rounds for visit in visits.values], dtype=np.bool_)[visits.codes]
    marks, days = sheet.columns["board"].taken(), sheet.columns["read_on"].taken()
    for row in np.flatnonzero(told & intake.new[sheet.file.name] & sheet.good).tolist():
        visit = visits.values[visits.codes[row]]
        if rounds[visit] not in _wheres(boards.get(marks[row], []), days[row]):
            said = f"round “{visit}” was at stack “{rounds[visit]}”, where this board did not lie"
            sheet.refuse(row, "round", said)


def _check_times(intake: Intake, file: FileKind, sheet: Sheet) -> None:
    if not any(sheet.columns["read_at"].values) and not any(sheet.columns["struck_why"].values):
        return
    read_on, read_at = sheet.columns["read_on"].taken(), sheet.columns["read_at"].taken()
    struck_on, why = sheet.columns["struck_on"].taken(), sheet.columns["struck_why"].taken()
    for row in intake.rows(file):
        if _far_apart(read_on[row], read_at[row]):
            sheet.refuse(row, "read_at", f"expected a time on the day of read_on, {read_on[row]}")
        elif why[row] is not None and struck_on[row] is None:
            sheet.refuse(row, "struck_on", "expected the day it was struck, as struck_why is given")


def _far_apart(day: date, moment: datetime | None) -> bool:
    return moment is not None and abs(moment.date() - day) > _A_DAY
