"""From lines of boards to the boards themselves, with what the form says for all of them."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from itertools import islice
from typing import TYPE_CHECKING

from webapp.entry.bulk_boards import BoardLine, LineRefusal
from webapp.entry.entries import BoardEntry
from webapp.entry.fields import Unreadable

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date

    from webapp.entry.board_marks import MarkPlan


@dataclass(frozen=True)
class BoardDefaults:
    """What holds for all boards where their line tells nothing else."""

    stacked_on: date
    species: str | None = None
    thickness_mm: float | None = None
    width_mm: float | None = None
    length_mm: float | None = None
    grain: str | None = None
    log: str | None = None
    sawn_on: date | None = None
    target_pct: float | None = None


def boards_of_lines(
    lines: Sequence[BoardLine], defaults: BoardDefaults, plan: MarkPlan
) -> tuple[list[BoardEntry], list[LineRefusal]]:
    """Make each line's boards, with marks, and with the defaults for what the line leaves out."""
    given = Counter(one for line in lines for one in line.marks)
    free = plan.free_marks(given)
    boards: list[BoardEntry] = []
    refusals: list[LineRefusal] = []
    seen: set[str] = set()
    for line in lines:
        whole = _with_defaults(line, defaults)
        try:
            _check(whole)
            _check_marks(whole.marks, plan.taken, seen)
            marks = whole.marks or tuple(islice(free, whole.count))
        except Unreadable as refusal:
            refusals.append(LineRefusal(line.line, str(refusal)))
            continue
        boards += _boards(whole, defaults, marks)
    return boards, refusals


def _with_defaults(line: BoardLine, defaults: BoardDefaults) -> BoardLine:
    return replace(
        line,
        species=line.species or defaults.species,
        thickness_mm=line.thickness_mm or defaults.thickness_mm,
        width_mm=line.width_mm or defaults.width_mm,
        length_mm=line.length_mm or defaults.length_mm,
        grain=line.grain or defaults.grain,
    )


def _check(line: BoardLine) -> None:
    if line.species is None:
        raise Unreadable("expected a species, in the line or above for all lines")
    if line.thickness_mm is None:
        raise Unreadable("expected a thickness, such as 32 mm or 5/4, in the line or above")
    widest = line.width_end_mm or line.width_mm
    if widest and line.thickness_mm > widest:
        raise Unreadable("expected the thickness before the width, and not more than it")


def _check_marks(marks: Sequence[str], taken: Iterable[str], seen: set[str]) -> None:
    for one in marks:
        if one in taken:
            raise Unreadable(f"expected a free mark; there is already a board “{one}” in the yard")
        if one in seen:
            raise Unreadable(f"expected each mark once; “{one}” stands in two lines")
        seen.add(one)


def _boards(line: BoardLine, defaults: BoardDefaults, marks: Sequence[str]) -> Iterable[BoardEntry]:
    turns = line.turns or (None,) * line.count
    for one, turn in zip(marks, turns, strict=True):
        yield BoardEntry(
            board=one,
            species=line.species or "",
            thickness_mm=line.thickness_mm or 0,
            stacked_on=defaults.stacked_on,
            width_mm=line.width_mm,
            width_end_mm=line.width_end_mm,
            length_mm=line.length_mm,
            sawn_on=defaults.sawn_on,
            grain=line.grain,
            log=defaults.log,
            turn=turn,
            target_pct=defaults.target_pct,
        )
