"""Size and weight of a board, now and when dry."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from webapp import wording
from webapp.wood.moisture import board_mass_kg
from webapp.wood.shrinkage import (
    finished_size_mm,
    total_across_thickness_pct,
    total_across_width_pct,
)
from webapp.wood.shrinkage_totals import total_shrinkage
from webapp.wood.species_table import species_named
from webapp.wood.volume import board_volume_m3

if TYPE_CHECKING:
    from webapp.records.board import Board
    from webapp.wood.shrinkage import Range
    from webapp.yard.judge_stack import BoardVerdict

_ = wording.translation.gettext

FIBRE_SATURATED_PCT = 35.0  # rough sizes are those of green wood, which has not begun to shrink


def size_when_dry(board: Board, said: BoardVerdict) -> str:
    """Say thickness and width when dry; the grain leaves a span of each."""
    dry_pct = dry_at(said)
    if not math.isfinite(dry_pct):
        return ""
    totals = total_shrinkage(species_named(board.species))
    grain = board.grain or ""
    sizes = [(board.thickness_mm, total_across_thickness_pct(totals, grain))]
    if board.width_mm:
        narrow = min(board.width_mm, board.width_end_mm or board.width_mm)
        sizes.append((narrow, total_across_width_pct(totals, grain)))
    spans = [
        _span(finished_size_mm(size_mm, FIBRE_SATURATED_PCT, dry_pct, total))
        for size_mm, total in sizes
    ]
    return _("%(size)s mm at %(dry)s") % {
        "size": " × ".join(spans),
        "dry": wording.percent(dry_pct),
    }


def weight_words(board: Board, said: BoardVerdict) -> str:
    """Say the likely weight now and when dry, where the board's size is known."""
    if not (board.width_mm and board.length_mm):
        return ""
    volume_m3 = board_volume_m3(
        board.thickness_mm,
        board.width_mm,
        board.length_mm,
        board.width_end_mm or board.width_mm,
    )
    density = species_named(board.species).basic_density
    now, dry = (
        board_mass_kg(density, volume_m3, at_pct)
        for at_pct in (said.verdict.moisture_pct, dry_at(said))
    )
    if not (math.isfinite(now) and math.isfinite(dry)):
        return ""
    return _("about %(now)s kg now, %(dry)s kg when dry") % {
        "now": f"{float(now):.2g}",
        "dry": f"{float(dry):.2g}",
    }


def dry_at(said: BoardVerdict) -> float:
    """Give the moisture that a board is dried to: its target, else what its place allows."""
    return said.verdict.equilibrium_pct if said.target_pct is None else said.target_pct


def _span(size: Range) -> str:
    low, high = (f"{float(end):.0f}" for end in (size.low, size.high))
    return low if low == high else f"{low}–{high}"
