"""What is fit for what: the fit boards of the yard by species and thickness."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from webapp import wording
from webapp.drying.verdict import Fit
from webapp.wood.volume import board_feet, board_volume_m3

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence
    from datetime import date

    from webapp.pages.stack_lines import Piece, StackLine
    from webapp.records.board import Board

_ = wording.translation.gettext
_n = wording.translation.ngettext


@dataclass(frozen=True)
class Lot:
    """Fit boards alike in species, thickness and what they are fit for."""

    wood: str
    use: str
    amount: str
    stacks: str
    last_read_on: date | None


def lots_of(lines: Iterable[StackLine], wanted: Callable[[Piece], bool] | None = None) -> list[Lot]:
    """Sum the fit boards up, or those of them that are wanted."""
    alike: dict[tuple[str, float, str], list[tuple[StackLine, Piece]]] = defaultdict(list)
    for line in lines:
        for piece in line.pieces:
            if piece.said.verdict.fit is Fit.YES and (wanted is None or wanted(piece)):
                board = piece.board
                alike[board.species, board.thickness_mm, _use(piece)].append((line, piece))
    return [_lot(*key, alike[key]) for key in sorted(alike)]


def _use(piece: Piece) -> str:
    """Name what a board is fit for; empty where it has just levelled off."""
    target_pct = piece.said.target_pct
    return "" if target_pct is None else wording.fit_words(Fit.YES, target_pct, piece.use)


def _lot(
    species: str, thickness_mm: float, use: str, held: Sequence[tuple[StackLine, Piece]]
) -> Lot:
    pieces = [piece for _line, piece in held]
    levels = [piece.said.verdict.moisture_pct for piece in pieces]
    read = [piece.said.last_read_on for piece in pieces if piece.said.last_read_on]
    lines = {line.stack.id: line for line, _piece in held}.values()
    marks = ", ".join(line.stack.mark for line in lines)
    return Lot(
        wood=f"{species} {thickness_mm:g} mm",
        use=use or wording.air_dry_words(min(levels), max(levels)),
        amount=amount_words([piece.board for piece in pieces]) + _samples(lines),
        stacks=_n("stack %s", "stacks %s", len(lines)) % marks,
        last_read_on=max(read, default=None),
    )


def _samples(lines: Iterable[StackLine]) -> str:
    """Say for how many boards the marked ones of a counted stack stand."""
    counted = [line.said.board_count for line in lines if line.said.board_count > len(line.pieces)]
    return _(", samples of about %d") % sum(counted) if counted else ""


def amount_words(boards: Sequence[Board]) -> str:
    """Say how much wood some boards are, by volume where all their sizes are known."""
    counted = _n("%d board", "%d boards", len(boards)) % len(boards)
    sizes = [(b.thickness_mm, b.width_mm, b.length_mm, b.width_end_mm) for b in boards]
    if not all(width and length for _thick, width, length, _end in sizes):
        return counted
    # What has no second width is NaN to the formulas.
    columns = np.array(sizes, dtype=float).T
    volume_m3 = float(board_volume_m3(*columns).sum())
    feet = float(board_feet(*columns).sum())
    return f"{counted}, {volume_m3:.2g} m³ ({feet:.0f} bd ft)"
