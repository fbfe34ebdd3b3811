"""A line of boards taken apart: its sizes, its words, its turns in the log, its marks."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from webapp.entry.board_marks import listed_marks
from webapp.entry.bulk_turns import turns_at
from webapp.entry.bulk_words import (
    COUNT_IN_FRONT,
    COUNTED,
    EXAMPLE,
    GRAINS,
    LABELS,
    LIVE_EDGE,
    LONGEST_LINE,
    MARKS_LAST,
    NUMBER_WORD,
    RANGE,
    RUN_ON,
    TIMES,
    WHOLE,
    WORD,
    in_digits,
    without_fillers,
)
from webapp.entry.fields import Unreadable, unreadable
from webapp.entry.plain_signs import plain_signs
from webapp.entry.typed_lengths import scan_length

if TYPE_CHECKING:
    import re

    from webapp.entry.typed_lengths import TypedLength


@dataclass
class SizeItem:
    """A size as it stands in a line, or a range from the narrow to the wide end."""

    text: str
    low: TypedLength
    high: TypedLength | None = None
    joined: bool = False
    label: str | None = None
    before_word: bool = False

    @property
    def may_count(self) -> bool:
        """Whether it may be a number of boards as well."""
        return self.low.is_count and self.high is None and self.label is None


@dataclass
class LineItems:
    """What stands in a line of boards."""

    sizes: list[SizeItem] = field(default_factory=list)
    counted: bool = False
    grain: str | None = None
    words: list[list[str]] = field(default_factory=list)
    turns: tuple[str, ...] = ()
    marks: tuple[str, ...] = ()


def items_of(text: str) -> LineItems:
    """Take a line apart; raises Unreadable with what was expected."""
    if len(text) > LONGEST_LINE:
        raise Unreadable(f"expected a line of at most {LONGEST_LINE} signs; found {len(text)}")
    marks, body = _marks(text)
    plain = NUMBER_WORD.sub(in_digits, plain_signs(body))
    odd = COUNT_IN_FRONT.match(plain)
    if odd and not WHOLE.fullmatch(odd[1]):
        raise unreadable("a whole number of boards in front", odd[1])
    items = _Taking(plain).items
    items.marks = marks
    return items


def _marks(text: str) -> tuple[tuple[str, ...], str]:
    front, colon, body = text.partition(":")
    if colon and not set(front.casefold().split()) & set(COUNTED):
        marks = listed_marks(front)
        if not marks:
            raise Unreadable("expected marks before the colon, such as W7: 32 mm x 180 mm")
        return marks, body
    last = MARKS_LAST.search(text)
    if last:
        return listed_marks(text[last.end() :]), text[: last.start()]
    return (), text.replace(":", " ", 1)


class _Taking:
    """Goes through a line once, from its beginning to its end."""

    def __init__(self, plain: str) -> None:
        self.plain = plain
        self.items = LineItems()
        self.run: list[str] | None = None
        self.joined = False
        self.size_just_read: SizeItem | None = None
        at = 0
        while at < len(plain):
            at = self._take(at)
        self.items.words = [run for run in map(without_fillers, self.items.words) if run]

    def _take(self, at: int) -> int:
        sign = self.plain[at]
        if sign == " ":
            return at + 1
        if sign in ",;":
            self.run = None
            return at + 1
        word = WORD.match(self.plain, at)
        if word:
            return self._take_word(word)
        return self._take_size(at)

    def _take_size(self, at: int) -> int:
        low = scan_length(self.plain, at)
        if low is None or (at and self._is_letter(at - 1)):
            raise self._not_understood(at)
        end, high = low.end, None
        until = RANGE.match(self.plain, end)
        if until:
            high = scan_length(self.plain, until.end())
            end = high.end if high else end
        if RUN_ON.match(self.plain, end) or self.plain[end : end + 1].isdecimal():
            raise unreadable("sizes with x between them, such as 32 x 180 x 1200", self.plain[at:])
        size = SizeItem(self.plain[at:end], low, high, joined=self.joined)
        self.items.sizes.append(size)
        self.run, self.joined, self.size_just_read = None, False, size
        return end

    def _not_understood(self, at: int) -> Unreadable:
        if not self.plain[at].isprintable():
            return Unreadable(f"expected boards; found a sign that cannot be printed, at {at + 1}")
        start = self.plain.rfind(" ", 0, at) + 1
        return unreadable(f"boards, {EXAMPLE}", self.plain[start:].split(" ", 1)[0])

    def _is_letter(self, at: int) -> bool:
        # The x between two sizes touches the second: 32x180.
        return self.plain[at].isalpha() and not self.joined

    def _take_word(self, found: re.Match[str]) -> int:
        word = found[0].casefold().removesuffix(".")
        size, self.size_just_read = self.size_just_read, None
        if size:
            size.before_word = word not in TIMES and word not in LABELS
        turns = turns_at(self.plain, found.end(), word, COUNTED)
        live_edge = LIVE_EDGE.match(self.plain, found.start())
        if turns:
            return self._take_turns(*turns)
        if live_edge:
            self.run = None
            return live_edge.end()
        if word in TIMES and (size or self.items.sizes):
            self.joined, self.run = True, None
        elif word in LABELS and size:
            size.label = LABELS[word]
        elif word in GRAINS:
            self._take_grain(GRAINS[word])
        elif word in COUNTED:
            if size and self.items.sizes == [size] and size.may_count:
                self.items.counted = True
            self.run = None
        else:
            self._take_name(found[0])
        return found.end()

    def _take_turns(self, turns: tuple[str, ...], end: int) -> int:
        if self.items.turns:
            raise Unreadable("expected the turns once in a line, such as turns 3-8 of 9")
        self.items.turns, self.run = turns, None
        return end

    def _take_grain(self, grain: str) -> None:
        if self.items.grain not in {None, grain}:
            raise Unreadable("expected one of flat, quarter, mixed; found two of them")
        self.items.grain, self.run = grain, None

    def _take_name(self, word: str) -> None:
        if self.run is None:
            self.run = []
            self.items.words.append(self.run)
        self.run.append(word)
