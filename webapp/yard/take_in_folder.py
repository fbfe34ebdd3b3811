"""Take in a folder of CSV files: all of it or nothing; what is already there changes nothing."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from sqlalchemy.orm import Session

from webapp.entry.folder import FILES
from webapp.problems import Refusal, RefusedFolder
from webapp.records.batch import Batch, open_batch
from webapp.yard.already_there import sort_out
from webapp.yard.check_readings import check_readings, unlisted_meters
from webapp.yard.check_references import check_references
from webapp.yard.follow_stays import follow_boards, follow_stacks
from webapp.yard.intake import Intake, Note
from webapp.yard.known_yard import know_yard
from webapp.yard.notice_slips import notice_slips
from webapp.yard.read_folder import bytes_in, read_folder
from webapp.yard.write_down import Pen, write_down

Progress = Callable[[int, int], None]
_MOST_NOTES_SHOWN = 20


@dataclass(frozen=True)
class FileCount:
    """How many rows of a file were new, and how many were already in the yard."""

    file: str
    new: int
    already_there: int

    def __str__(self) -> str:
        """One line for people."""
        return f"{self.file}: {self.new} new, {self.already_there} already there"


@dataclass(frozen=True)
class TakenIn:
    """What an import brought; without anything new it opened no batch."""

    files: tuple[FileCount, ...]
    notes: tuple[Note, ...] = ()
    batch: Batch | None = None

    @property
    def new(self) -> int:
        """Count what was new in all files."""
        return sum(file.new for file in self.files)

    def __str__(self) -> str:
        """A line a file, then the notes."""
        lines = [str(file) for file in self.files]
        lines += [f"note: {note}" for note in self.notes[:_MOST_NOTES_SHOWN]]
        if len(self.notes) > _MOST_NOTES_SHOWN:
            lines.append(f"and {len(self.notes) - _MOST_NOTES_SHOWN} more notes")
        return "\n".join(lines)


def take_in_folder(
    session: Session,
    folder: Path,
    at: datetime,
    today: date,
    progress: Progress | None = None,
    person: str | None = None,
    kind: str = "import",
    refused: Sequence[Refusal] = (),
) -> TakenIn:
    """Take in a folder; raises RefusedFolder with everything refused before anything is written.

    `refused` is what was refused on the folder's way here.
    """
    steps = _Steps(progress, bytes_in(folder))
    read = read_folder(folder, steps.read)
    intake = Intake(today, know_yard(session), read.sheets)
    sort_out(session, intake)
    check_references(intake)
    stacks = follow_stacks(intake)
    boards = follow_boards(intake, stacks)
    check_readings(intake, boards)
    refusals = [*refused, *read.refusals, *intake.refusals()]
    if refusals:
        raise RefusedFolder(refusals)
    meters = unlisted_meters(intake)
    notice_slips(session, intake)
    counts = _counts(intake)
    batch = None
    if sum(count.new for count in counts):
        batch = open_batch(session, kind, person, at, read.file_hash)
        steps.expect(sum(count.new for count in counts))
        write_down(Pen(session, batch, intake, steps.written), stacks, boards, meters)
    return TakenIn(counts, tuple(intake.notes), batch)


def _counts(intake: Intake) -> tuple[FileCount, ...]:
    counts = []
    for file in FILES:
        if file.name in intake.sheets:
            new = len(intake.rows(file))
            counts.append(FileCount(file.name, new, len(intake.sheets[file.name]) - new))
    return tuple(counts)


class _Steps:
    """Turns bytes read and rows written into one progress: half for each."""

    def __init__(self, progress: Progress | None, total: int) -> None:
        self._progress = progress
        self._total = max(total, 1)
        self._done = 0.0
        self._a_row = 0.0

    def read(self, count: int) -> None:
        self._on(count)

    def expect(self, rows: int) -> None:
        self._a_row = self._total / rows

    def written(self, rows: int) -> None:
        self._on(rows * self._a_row)

    def _on(self, amount: float) -> None:
        self._done = min(self._done + amount, 2 * self._total)
        if self._progress is not None:
            self._progress(int(self._done), 2 * self._total)
