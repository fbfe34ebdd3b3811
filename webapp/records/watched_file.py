"""Notices when a yard's file is moved, deleted or replaced while it is open.

SQLite itself would go on writing to the vanished file, or make a new and empty one.
"""

from pathlib import Path

from webapp.problems import YardFileProblem


class WatchedFile:
    """One file, known again by what the disk calls it rather than by its name."""

    def __init__(self, file: Path) -> None:
        self._file = file
        self._known: tuple[int, int] | None = None

    def remember(self) -> None:
        """Keep in mind which file was opened first."""
        if self._known is None:
            self._known = self._there()

    def look(self) -> None:
        """See that the file is still the one that was opened; raises YardFileProblem."""
        if self._known is None:
            return
        there = self._there()
        if there is None:
            raise YardFileProblem(
                f"The yard's file {self._file} is gone: it was moved or deleted while it was open. "
                "Nothing can be kept till it is put back."
            )
        if there != self._known:
            raise YardFileProblem(
                f"The yard's file {self._file} was replaced by another while it was open. "
                "Stop Flitchbook and start it again to use the new one."
            )

    def _there(self) -> tuple[int, int] | None:
        try:
            found = self._file.stat()
        except OSError:
            return None
        return found.st_dev, found.st_ino
