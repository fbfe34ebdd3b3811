"""Marks of several boards: listed, from one to another, or a prefix with the next free number."""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from webapp.entry.fields import Unreadable, mark

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Sequence

MOST_BOARDS = 500
_NUMBERED = re.compile(r"(.*?)([0-9]{1,9})", re.ASCII | re.DOTALL)
_FROM_TO = re.compile(r"([^0-9]+)([0-9]{1,6})-([^0-9]+)([0-9]{1,6})", re.ASCII)
_PARTED = re.compile(r"[\s,;]+")


@dataclass(frozen=True)
class MarkPlan:
    """How boards without a mark are called: a prefix and a number, passing over marks in use."""

    prefix: str
    first: int = 1
    digits: int = 0
    taken: frozenset[str] = frozenset()

    def __str__(self) -> str:
        """Write the first mark."""
        return f"{self.prefix}{self.first:0{self.digits}d}"

    def passing_over(self, taken: frozenset[str]) -> MarkPlan:
        """Give the same plan for a yard where these marks are in use."""
        return replace(self, taken=taken)

    def free_marks(self, also_taken: Collection[str] = ()) -> Iterator[str]:
        """Give one free mark after the other."""
        number = self.first
        while True:
            made = mark(f"{self.prefix}{number:0{self.digits}d}")
            if made not in self.taken and made not in also_taken:
                yield made
            number += 1


def first_mark(text: str) -> MarkPlan:
    """Read the mark that the others count up from: W13; without a number they begin at 1."""
    plain = mark(text)
    found = _NUMBERED.fullmatch(plain)
    if found is None:
        return MarkPlan(plain)
    number = found[2]
    return MarkPlan(found[1], int(number), len(number) if number.startswith("0") else 0)


def listed_marks(text: str) -> tuple[str, ...]:
    """Read marks with blanks or commas between them; W7-W12 stands for six."""
    marks: list[str] = []
    for part in filter(None, _PARTED.split(unicodedata.normalize("NFC", text))):
        marks += _from_to(part)
        if len(marks) > MOST_BOARDS:
            raise Unreadable(f"expected at most {MOST_BOARDS} marks in one line")
    if "x" in marks:
        raise Unreadable("expected the marks last in the line, or in front with a colon: W7: 32 mm")
    twice = [one for one, times in Counter(marks).items() if times > 1]
    if twice:
        raise Unreadable(f"expected each mark once; “{twice[0]}” stands here twice")
    return tuple(marks)


def plan_marks(stack: str, marks: Sequence[str]) -> MarkPlan:
    """Go on from the marks a stack's boards bear already, or else from the stack's own mark."""
    found = [(one[1], one[2]) for one in map(_NUMBERED.fullmatch, marks) if one]
    if not found:
        return MarkPlan(f"{stack}-")
    prefix = Counter(before for before, _number in found).most_common(1)[0][0]
    numbers = [number for before, number in found if before == prefix]
    padded = [len(number) for number in numbers if number.startswith("0")]
    return MarkPlan(prefix, max(map(int, numbers)) + 1, max(padded, default=0))


def _from_to(part: str) -> list[str]:
    found = _FROM_TO.fullmatch(part)
    if found is None or found[1] != found[3]:
        return [mark(part)]
    low, high = int(found[2]), int(found[4])
    if not low <= high < low + MOST_BOARDS:
        raise Unreadable(f"expected marks that count up by at most {MOST_BOARDS}; found “{part}”")
    width = len(found[2]) if found[2].startswith("0") else 0
    return [mark(f"{found[1]}{number:0{width}d}") for number in range(low, high + 1)]
