"""Troubles raised on purpose: each carries a sentence for people."""

from collections.abc import Sequence
from dataclasses import dataclass


class Problem(Exception):
    """Something a person can understand and mend; the base of all our troubles."""

    status = 400

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


class NotFound(Problem):
    """What was asked for is not in the yard."""

    status = 404


class Conflict(Problem):
    """What was sent contradicts what is already kept."""

    status = 409


class Refused(Problem):
    """What was typed cannot be taken as it stands."""

    status = 422


class Busy(Problem):
    """The yard is being written by somebody else just now; nothing was lost."""

    status = 503


class YardFileProblem(Problem):
    """The yard's database cannot be opened, read or written as it stands."""

    status = 500


@dataclass(frozen=True)
class Refusal:
    """One thing in a file that cannot be taken: where it stands and what was expected."""

    file: str
    line: int | None
    column: str | None
    sentence: str

    def __str__(self) -> str:
        """Place and reason on one line."""
        place = [self.file]
        if self.line is not None:
            place.append(f"line {self.line}")
        if self.column is not None:
            place.append(f"column {self.column}")
        return f"{', '.join(place)}: {self.sentence}"


class RefusedFolder(Problem):
    """A folder that cannot be imported; nothing of it was kept."""

    status = 422

    def __init__(self, refusals: Sequence[Refusal], sentence: str | None = None) -> None:
        self.refusals = tuple(refusals)
        super().__init__(sentence or _count_sentence(len(self.refusals)))


def _count_sentence(count: int) -> str:
    things = "1 thing" if count == 1 else f"{count} things"
    return f"The folder was not imported: {things} in it cannot be taken. Nothing was changed."
