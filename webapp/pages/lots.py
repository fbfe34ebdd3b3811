"""What is fit for what: the fit boards of the yard by species and thickness."""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from webapp import sizes, wording
from webapp.drying.verdict import Fit
from webapp.pages.board_size import volume_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence
    from datetime import date

    from webapp.look import Units
    from webapp.pages.stack_lines import Piece, StackLine
    from webapp.records.board import Board

_ = wording.translation.gettext
_n = wording.translation.ngettext

MOST_NAMED = 6


@dataclass(frozen=True)
class Lot:
    """Fit boards alike in species, thickness and what they are fit for."""

    wood: str
    use: str
    amount: str
    stacks: str
    last_read_on: date | None


def lots_of(
    lines: Iterable[StackLine], units: Units, wanted: Callable[[Piece], bool] | None = None
) -> list[Lot]:
    """Sum the fit boards up, or those of them that are wanted."""
    alike: dict[tuple[str, float, str], list[tuple[StackLine, Piece]]] = defaultdict(list)
    for line in lines:
        for piece in line.pieces:
            if piece.said.verdict.fit is Fit.YES and (wanted is None or wanted(piece)):
                board = piece.board
                alike[board.species, board.thickness_mm, _use(piece)].append((line, piece))
    return [_lot(*key, alike[key], units) for key in sorted(alike)]


def _use(piece: Piece) -> str:
    """Name what a board is fit for; empty where it has just levelled off."""
    target_pct = piece.said.target_pct
    return "" if target_pct is None else wording.fit_words(Fit.YES, target_pct, piece.use)


def _lot(
    species: str,
    thickness_mm: float,
    use: str,
    held: Sequence[tuple[StackLine, Piece]],
    units: Units,
) -> Lot:
    pieces = [piece for _line, piece in held]
    levels = [piece.said.verdict.moisture_pct for piece in pieces]
    read = [piece.said.last_read_on for piece in pieces if piece.said.last_read_on]
    lines = {line.stack.id: line for line, _piece in held}.values()
    return Lot(
        wood=f"{species} {sizes.size_words(thickness_mm, units)}",
        use=use or wording.air_dry_words(min(levels), max(levels)),
        amount=amount_words([piece.board for piece in pieces], units) + _samples(lines),
        stacks=_stacks([line.stack.mark for line in lines]),
        last_read_on=max(read, default=None),
    )


def _stacks(marks: Sequence[str]) -> str:
    """Say in which stacks it lies; more than a line holds are counted."""
    if len(marks) > MOST_NAMED:
        return _n("in %d stack", "in %d stacks", len(marks)) % len(marks)
    return _n("stack %s", "stacks %s", len(marks)) % ", ".join(marks)


def _samples(lines: Iterable[StackLine]) -> str:
    """Say for how many boards the marked ones of a counted stack stand."""
    counted = [line.said.board_count for line in lines if line.said.board_count > len(line.pieces)]
    return _(", samples of about %d") % sum(counted) if counted else ""


def amount_words(boards: Sequence[Board], units: Units) -> str:
    """Say how much wood some boards are, by volume where all their sizes are known."""
    counted = _n("%d board", "%d boards", len(boards)) % len(boards)
    volume_m3 = sum(volume_of(board) for board in boards)
    return (
        counted if math.isnan(volume_m3) else f"{counted}, {sizes.volume_words(volume_m3, units)}"
    )
