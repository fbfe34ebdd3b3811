"""Turns in the log as they stand in a line of boards: turn 3 of 9, turns 3-8 of 9, slab 3 of 9."""

import re
from collections.abc import Collection

from webapp.entry.board_marks import MOST_BOARDS
from webapp.entry.fields import Unreadable

_TURN_WORDS = ("turn", "turns")
_NUMBER = re.compile(r"[0-9]{1,4}(?![0-9./])", re.ASCII)
_TO = re.compile(r" ?- ?| to ", re.IGNORECASE)
_AND = re.compile(r" ?[,&] ?(?=[0-9])| and (?=[0-9])| (?=[0-9])", re.IGNORECASE)
_OF = re.compile(r" of ([0-9]{1,4})(?![0-9])", re.ASCII | re.IGNORECASE)


def turns_at(
    plain: str, start: int, word: str, also_after: Collection[str]
) -> tuple[tuple[str, ...], int] | None:
    """Read the turns behind a word, and where they end; None where none stand there.

    Behind another word than "turn" only those with their "of": slabs 3-8 of 9.
    """
    if word not in _TURN_WORDS and word not in also_after:
        return None
    spans, end = _spans(plain, start)
    total = _OF.match(plain, end)
    if total is None and word not in _TURN_WORDS:
        return None
    if not spans:
        raise Unreadable("expected a turn in the log, such as turn 3 of 9 or turns 3-8 of 9")
    if total is None:
        # Without the "of" a second number may already be a size.
        first, end = spans[0]
        return _labels([first], None), end
    return _labels([span for span, _end in spans], int(total[1])), total.end()


def _spans(plain: str, start: int) -> tuple[list[tuple[range, int]], int]:
    spans: list[tuple[range, int]] = []
    at = start + plain[start : start + 1].count(" ")
    end = start
    while len(spans) <= MOST_BOARDS and (low := _NUMBER.match(plain, at)):
        end = low.end()
        to = _TO.match(plain, end)
        high = _NUMBER.match(plain, to.end()) if to else None
        end = high.end() if high else end
        spans.append((range(int(low[0]), int(high[0] if high else low[0]) + 1), end))
        more = _AND.match(plain, end)
        if more is None:
            break
        at = more.end()
    return spans, end


def _labels(spans: list[range], total: int | None) -> tuple[str, ...]:
    if sum(map(len, spans)) > MOST_BOARDS:
        raise Unreadable(f"expected at most {MOST_BOARDS} turns in one line")
    turns = [turn for span in spans for turn in span]
    if len(set(turns)) < len(turns) or not all(spans) or 0 in turns:
        raise Unreadable("expected turns that count up from 1, each once, such as turns 3-8 of 9")
    if total is None:
        return tuple(str(turn) for turn in turns)
    if max(turns) > total:
        raise Unreadable(f"expected turns up to {total}; found turn {max(turns)} of {total}")
    return tuple(f"{turn} of {total}" for turn in turns)
