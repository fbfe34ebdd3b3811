"""Refusals and remarks for a page: those that repeat line by line are told together."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from webapp.problems import Refusal

MOST_TOLD = 3
_MOST_LINES = 10
_WHAT_VARIES = re.compile(r"“[^”]*”|\d+(?:[.,]\d+)*")


@dataclass(frozen=True)
class Alike:
    """What says the same of several lines: the first ones in full, the rest by their lines."""

    told: tuple[Refusal, ...]
    more: int
    lines: tuple[int, ...]


def group_alike(refusals: Iterable[Refusal]) -> list[Alike]:
    """Put together what is said of one column and differs in values only."""
    groups: dict[tuple[str, str | None, str], list[Refusal]] = {}
    for refusal in refusals:
        said = _WHAT_VARIES.sub("", refusal.sentence)
        groups.setdefault((refusal.file, refusal.column, said), []).append(refusal)
    return [_alike(group) for group in groups.values()]


def _alike(group: Sequence[Refusal]) -> Alike:
    more = group[MOST_TOLD:]
    lines = [refusal.line for refusal in more if refusal.line is not None]
    return Alike(tuple(group[:MOST_TOLD]), len(more), tuple(lines[:_MOST_LINES]))
