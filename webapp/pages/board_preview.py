"""Boards that are about to be written down, as a table to look at first."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from webapp import sizes, wording
from webapp.wood.volume import board_volume_m3

if TYPE_CHECKING:
    from collections.abc import Sequence

    from webapp.entry.entries import BoardEntry, LogEntry
    from webapp.look import Units

_ = wording.translation.gettext
_n = wording.translation.ngettext

MOST_ROWS = 100


@dataclass(frozen=True)
class PreviewRow:
    """One board, in words."""

    mark: str
    size: str
    words: str


@dataclass(frozen=True)
class Preview:
    """The boards that would be made; `looked` tells these from any others."""

    rows: tuple[PreviewRow, ...]
    title: str
    save: str
    more: str
    new_log: str
    looked: str


def preview_of(boards: Sequence[BoardEntry], new_log: LogEntry | None, units: Units) -> Preview:
    """Say what would be written down."""
    rows = tuple(_row(board, units) for board in boards[:MOST_ROWS])
    count = len(boards)
    further = count - len(rows)
    more = _n("and %(num)d more, up to %(mark)s", "and %(num)d more, up to %(mark)s", further)
    return Preview(
        rows=rows,
        title=_title(boards, units),
        save=_n("Save %d board", "Save %d boards", count) % count,
        more=more % {"num": further, "mark": boards[-1].board} if further else "",
        new_log=_log(new_log) if new_log else "",
        looked=looked_at(boards, new_log),
    )


def looked_at(boards: Sequence[BoardEntry], new_log: LogEntry | None) -> str:
    """Give a short text that changes with anything that would be written down."""
    return hashlib.sha256(repr((list(boards), new_log)).encode()).hexdigest()[:32]


def marks_words(boards: Sequence[BoardEntry]) -> str:
    """Name boards by their marks: all of a few, else the first and the last."""
    marks = [board.board for board in boards]
    if not marks:
        return ""
    if len(marks) <= 3:  # noqa: PLR2004 - as many as are read at a glance
        return ", ".join(marks)
    return _("%(first)s to %(last)s") % {"first": marks[0], "last": marks[-1]}


def _row(board: BoardEntry, units: Units) -> PreviewRow:
    size = sizes.board_size_words(
        board.thickness_mm, board.width_mm, board.width_end_mm, board.length_mm, units
    )
    words = [board.species]
    if board.grain:
        words.append(_(board.grain))
    if board.turn:
        words.append(_("turn %s") % board.turn)
    return PreviewRow(mark=board.board, size=size, words=" · ".join(words))


def _title(boards: Sequence[BoardEntry], units: Units) -> str:
    count = _n("%d board", "%d boards", len(boards)) % len(boards)
    nan = float("nan")
    volumes = board_volume_m3(
        [board.thickness_mm for board in boards],
        [board.width_mm or nan for board in boards],
        [board.length_mm or nan for board in boards],
        [board.width_end_mm or nan for board in boards],
    )
    if np.isnan(volumes).any():
        return count
    return f"{count}, {sizes.volume_words(float(volumes.sum()), units)}"


def _log(log: LogEntry) -> str:
    words = {"log": log.log, "species": log.species}
    return _("Log %(log)s is new: it is written down too, as %(species)s.") % words
