"""What the model is told: boards with their stays, readings, and changes found in a stack."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from webapp.drying.arrays import Array, Flags, Index


@dataclass(frozen=True)
class Stays:
    """Where each board lay and from when, as segments of time.

    ``from_day`` [boards, K] days since 1970-01-01, rising, infinite where a board has fewer
    than K stays; ``place`` [boards, K] the place's index. The first is where it was stacked.
    """

    from_day: Array
    place: Index

    @property
    def first_day(self) -> Array:
        """The day on which each board was stacked [boards]."""
        return np.asarray(self.from_day[:, 0])


@dataclass(frozen=True)
class Boards:
    """The boards of one or many stacks, those of a stack side by side.

    ``stack`` [boards] index of the stack, from 0 without gaps and rising; ``thickness_mm``;
    ``density`` oven-dry mass over green volume relative to water [-]; ``green_pct`` moisture
    to be expected in the fresh board and ``green_log_sd`` its uncertainty as a logarithm;
    ``target_pct`` NaN where a board has none.
    """

    stack: Index
    thickness_mm: Array
    density: Array
    green_pct: Array
    green_log_sd: Array
    target_pct: Array
    stays: Stays

    def __len__(self) -> int:
        """How many boards there are."""
        return len(self.stack)

    @property
    def stacks(self) -> int:
        """How many stacks there are."""
        return int(self.stack[-1]) + 1 if len(self.stack) else 0


@dataclass(frozen=True)
class Readings:
    """Corrected readings of those boards, sorted by board.

    ``board`` index; ``day``; ``value_pct`` corrected moisture, or the limit where ``over`` or
    ``under`` is set; ``extra_sd`` what correction adds to the error [points of moisture].
    """

    board: Index
    day: Array
    value_pct: Array
    over: Flags
    under: Flags
    extra_sd: Array

    def __len__(self) -> int:
        """How many readings there are."""
        return len(self.board)

    def where(self, kept: Flags | Index) -> Readings:
        """Only the readings flagged or named in ``kept``."""
        return Readings(
            self.board[kept],
            self.day[kept],
            self.value_pct[kept],
            self.over[kept],
            self.under[kept],
            self.extra_sd[kept],
        )


@dataclass(frozen=True)
class Changes:
    """From when to when something is supposed to be wrong with each stack [stacks].

    Infinite ``from_day`` where nothing is; infinite ``until_day`` while it lasts.
    """

    from_day: Array
    until_day: Array

    @classmethod
    def none(cls, stacks: int) -> Changes:
        """Nothing wrong with any of the stacks."""
        never = np.full(stacks, np.inf)
        return cls(never, never.copy())


@dataclass(frozen=True)
class Selection:
    """Copies of chosen stacks with their readings, as if they were stacks of their own."""

    boards: Boards
    readings: Readings
    reading_source: Index
    board_source: Index
    stack_source: Index


def _ranges(starts: Index, counts: Index) -> Index:
    """The numbers from each start onwards, as many as counted, one run after the other."""
    before = np.cumsum(counts) - counts
    return np.arange(counts.sum()) - np.repeat(before - starts, counts)


def select_stacks(boards: Boards, readings: Readings, chosen: Index) -> Selection:
    """Copy stacks, in the given order; one that is named twice is copied twice.

    Parameters
    ----------
    boards, readings : Boards, Readings
        All of a yard; readings sorted by board.
    chosen : array of int
        Indices of stacks.

    Returns
    -------
    Selection
        The copies, with the index each reading, board and stack was copied from.
    """
    per_stack = np.bincount(boards.stack, minlength=boards.stacks)
    first = np.cumsum(per_stack) - per_stack
    counts = per_stack[chosen]
    source = _ranges(first[chosen], counts)
    per_board = np.bincount(readings.board, minlength=len(boards))
    first_row = np.cumsum(per_board) - per_board
    rows = _ranges(first_row[source], per_board[source])
    copied = Boards(
        np.repeat(np.arange(len(chosen)), counts),
        boards.thickness_mm[source],
        boards.density[source],
        boards.green_pct[source],
        boards.green_log_sd[source],
        boards.target_pct[source],
        Stays(boards.stays.from_day[source], boards.stays.place[source]),
    )
    kept = readings.where(rows)
    board = np.repeat(np.arange(len(source)), per_board[source])
    return Selection(copied, replace(kept, board=board), rows, source, chosen)
