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
    from collections.abc import Mapping, Sequence
    from datetime import date

    from webapp.records.board import Board
    from webapp.yard.judge_stack import BoardVerdict

_n = wording.translation.ngettext


@dataclass(frozen=True)
class Lot:
    """Fit boards alike in species, thickness and what they are fit for."""

    wood: str
    use: str
    amount: str
    last_read_on: date | None


def lots_of(verdicts: Sequence[BoardVerdict], boards: Mapping[int, Board]) -> list[Lot]:
    """Sum the fit boards up."""
    alike: dict[tuple[str, float, str], list[BoardVerdict]] = defaultdict(list)
    for verdict in verdicts:
        if verdict.verdict.fit is Fit.YES:
            board = boards[verdict.board_id]
            use = wording.fit_words(Fit.YES, verdict.target_pct)
            alike[board.species, board.thickness_mm, use].append(verdict)
    return [_lot(*key, alike[key], boards) for key in sorted(alike)]


def _lot(
    species: str,
    thickness_mm: float,
    use: str,
    verdicts: Sequence[BoardVerdict],
    boards: Mapping[int, Board],
) -> Lot:
    read = [verdict.last_read_on for verdict in verdicts if verdict.last_read_on]
    amount = amount_words([boards[verdict.board_id] for verdict in verdicts])
    return Lot(f"{species} {thickness_mm:g} mm", use, amount, max(read, default=None))


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
