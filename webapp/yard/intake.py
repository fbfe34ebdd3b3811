"""An import under way: the sheets, what the yard knows, which rows are new, what to remark."""

from dataclasses import dataclass, field
from datetime import date
from typing import Any

import numpy as np
from numpy.typing import NDArray

from webapp.entry.folder import BOARDS, FILES, STACKS, FileKind
from webapp.entry.spreadsheet import Sheet
from webapp.problems import Refusal
from webapp.yard.known_yard import KnownYard


class Note(Refusal):
    """A remark on something that was taken in all the same."""


@dataclass
class Intake:
    """What the steps of an import share."""

    today: date
    known: KnownYard
    sheets: dict[str, Sheet]
    new: dict[str, NDArray[np.bool_]] = field(default_factory=dict)
    notes: list[Note] = field(default_factory=list)

    def rows(self, file: FileKind) -> list[int]:
        """List the rows of a file that are new and not refused."""
        sheet = self.sheets.get(file.name)
        if sheet is None or file.name not in self.new:
            return []
        return [int(row) for row in np.flatnonzero(self.new[file.name] & sheet.good)]

    def values(self, file: FileKind, column: str) -> list[Any]:
        """List the values of a column, of all rows."""
        sheet = self.sheets.get(file.name)
        return sheet.columns[column].taken() if sheet is not None and sheet.whole else []

    def records(self, file: FileKind) -> list[tuple[int, dict[str, Any]]]:
        """List the new rows of a file with their values by column."""
        rows = self.rows(file)
        taken = {name: self.values(file, name) for name in file.names} if rows else {}
        return [(row, {name: taken[name][row] for name in taken}) for row in rows]

    def is_readable(self, file: FileKind) -> bool:
        """Tell whether a file is absent or has a sound header, so that its marks are known."""
        sheet = self.sheets.get(file.name)
        return sheet is None or sheet.whole

    def marks(self, file: FileKind) -> set[str]:
        """Give the marks a file brings, the refused rows' too, so that one fault is told once."""
        brought = set(self.values(file, file.mark)) if file.mark else set()
        if file is STACKS:
            brought |= self.stacks_of_boards()
        return brought - {None}

    def stacks_of_boards(self) -> set[str]:
        """Give the stacks that boards.csv names."""
        return set(self.values(BOARDS, "stack")) - {None}

    def refusals(self) -> list[Refusal]:
        """List everything refused, file by file and line by line."""
        found: list[Refusal] = []
        for file in FILES:
            sheet = self.sheets.get(file.name)
            if sheet is not None:
                found += sorted(sheet.refusals, key=lambda refusal: refusal.line or 0)
        return found
