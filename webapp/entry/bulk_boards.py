"""Boards in bulk, a line for those that are alike: 6 boards 32 mm x 180 mm x 1.2 m flat."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from webapp.entry import kinds
from webapp.entry.board_marks import MOST_BOARDS
from webapp.entry.bulk_items import items_of
from webapp.entry.bulk_sizes import count_and_sizes
from webapp.entry.bulk_words import EXAMPLE
from webapp.entry.fields import Unreadable

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from webapp.look import Units

MOST_IN_ALL = 2000
_LONGEST_TEXT = 400_000
_LINE_END = re.compile(r"\r\n|\r|\n")


@dataclass(frozen=True)
class BoardLine:
    """One line: so many boards alike, with what the line tells of them."""

    line: int
    count: int
    species: str | None = None
    thickness_mm: float | None = None
    width_mm: float | None = None
    width_end_mm: float | None = None
    length_mm: float | None = None
    grain: str | None = None
    turns: tuple[str, ...] = ()
    marks: tuple[str, ...] = ()


@dataclass(frozen=True)
class LineRefusal:
    """A line that cannot be taken, and what was expected."""

    line: int
    sentence: str

    def __str__(self) -> str:
        """Tell the line and the reason, as a sentence."""
        return f"Line {self.line}: {self.sentence}{'' if self.sentence.endswith('?') else '.'}"


def board_lines(text: str, units: Units) -> tuple[list[BoardLine], list[LineRefusal]]:
    """Read lines of boards; every faulty line is told, and the others are read all the same."""
    if len(text) > _LONGEST_TEXT:
        return [], [LineRefusal(1, f"expected at most {_LONGEST_TEXT} signs in all")]
    lines: list[BoardLine] = []
    refusals: list[LineRefusal] = []
    for number, line in enumerate(_LINE_END.split(text), start=1):
        if not line.strip():
            continue
        try:
            lines.append(_board_line(number, line, units))
        except Unreadable as refusal:
            refusals.append(LineRefusal(number, str(refusal)))
    if not lines and not refusals:
        refusals.append(LineRefusal(1, f"expected boards, {EXAMPLE}"))
    return lines, refusals + _too_many(lines)


def _board_line(number: int, text: str, units: Units) -> BoardLine:
    items = items_of(text)
    count, sizes = count_and_sizes(items, units)
    narrow, wide = sizes.get("width", (None, None))
    return BoardLine(
        line=number,
        count=_count(count, items.marks, items.turns),
        species=_species(items.words),
        thickness_mm=sizes.get("thickness", (None,))[0],
        width_mm=narrow,
        width_end_mm=wide,
        length_mm=sizes.get("length", (None,))[0],
        grain=items.grain,
        turns=items.turns,
        marks=items.marks,
    )


def _count(count: int | None, marks: Sequence[str], turns: Sequence[str]) -> int:
    if count is None:
        count = len(marks) or len(turns) or 1
    if not 1 <= count <= MOST_BOARDS:
        raise Unreadable(f"expected 1 to {MOST_BOARDS} boards in one line; found {count}")
    for things, listed in (("mark", marks), ("turn", turns)):
        if listed and len(listed) != count:
            raise Unreadable(
                f"expected as many {things}s as boards; found {_counted(len(listed), things)} "
                f"for {_counted(count, 'board')}"
            )
    return count


def _counted(count: int, thing: str) -> str:
    return f"{count} {thing}" if count == 1 else f"{count} {thing}s"


def _species(words: Sequence[Sequence[str]]) -> str | None:
    if not words:
        return None
    if len(words) > 1:
        found = "” and “".join(" ".join(run)[:40] for run in words[:2])
        raise Unreadable(f"expected one species in a line; found “{found}”")
    return kinds.species(" ".join(words[0])[:200])


def _too_many(lines: Iterable[BoardLine]) -> list[LineRefusal]:
    in_all = 0
    for line in lines:
        in_all += line.count
        if in_all > MOST_IN_ALL:
            said = f"expected at most {MOST_IN_ALL} boards at once; with this line it is {in_all}"
            return [LineRefusal(line.line, said)]
    return []
