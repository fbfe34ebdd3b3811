"""Size and weight of a board, now and when dry, as a small table."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from webapp import sizes, wording
from webapp.pages.now_and_dry import now_and_dry
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
    from webapp.look import Units
    from webapp.pages.now_and_dry import At
    from webapp.records.board import Board
    from webapp.wood.shrinkage import Range
    from webapp.wood.shrinkage_totals import TotalShrinkage
    from webapp.yard.judge_stack import BoardVerdict

_ = wording.translation.gettext

FIBRE_SATURATED_PCT = 35.0  # rough sizes are those of green wood, which has not begun to shrink
UNKNOWN = "–"
KNOWN_GRAINS = frozenset({"flat", "quarter"})


@dataclass(frozen=True)
class SizeTable:
    """What a board measures and weighs: heads, rows of a name and its cells, and remarks."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]
    remarks: tuple[str, ...]
    sources: tuple[str, ...]


def size_table(
    board: Board, said: BoardVerdict | None, driest_pct: float, units: Units
) -> SizeTable:
    """Tell size and weight; `driest_pct` is the lowest that its place takes it within a year."""
    states, remarks = now_and_dry(said, driest_pct)
    totals = total_shrinkage(species_named(board.species))
    rows = _size_rows(board, totals, states, units)
    weights = _weights(board, states, units)
    weighed = any(weight != UNKNOWN for weight in weights)
    if weighed:
        rows.append((_("weight, about"), weights))
        remarks.append(_("Single boards differ by a tenth or so; knots, bark and ice come on top."))
    if board.grain not in KNOWN_GRAINS and len(states) > 1:
        remarks.append(_how_sawn(board.grain))
    return SizeTable(
        tuple(state.called for state in states),
        tuple(rows),
        tuple(remarks),
        _sources(board, totals, weighed=weighed),
    )


def _size_rows(
    board: Board, totals: TotalShrinkage, states: list[At], units: Units
) -> list[tuple[str, tuple[str, ...]]]:
    grain = board.grain or ""

    def cells(narrow_mm: float, wide_mm: float, total: Range) -> tuple[str, ...]:
        return tuple(_size(narrow_mm, wide_mm, total, totals, state, units) for state in states)

    thick = board.thickness_mm
    rows = [(_("thickness"), cells(thick, thick, total_across_thickness_pct(totals, grain)))]
    if board.width_mm:
        narrow, wide = sorted((board.width_mm, board.width_end_mm or board.width_mm))
        called = _("width") if narrow == wide else _("width, both ends")
        rows.append((called, cells(narrow, wide, total_across_width_pct(totals, grain))))
    if board.length_mm:
        length = sizes.size_words(board.length_mm, units, long=True)
        rows.append((_("length"), (length,) * len(states)))
    return rows


def _size(
    narrow_mm: float,
    wide_mm: float,
    total: Range,
    totals: TotalShrinkage,
    state: At,
    units: Units,
) -> str:
    if math.isnan(state.pct) or state.pct >= totals.fibre_saturation_pct:
        return sizes.span_words(narrow_mm, wide_mm, units)  # as it was sawn
    narrow, wide = (
        finished_size_mm(
            size_mm,
            FIBRE_SATURATED_PCT,
            state.pct,
            total,
            fibre_saturation_pct=totals.fibre_saturation_pct,
        )
        for size_mm in (narrow_mm, wide_mm)
    )
    return sizes.worked_out_span_words(float(narrow.low), float(wide.high), units)


def volume_of(board: Board) -> float:
    """Give a board's volume in m3 as it was sawn; NaN where a size is not known."""
    sides = (board.thickness_mm, board.width_mm, board.length_mm, board.width_end_mm)
    known = (math.nan if side is None else side for side in sides)
    return float(board_volume_m3(*known))


def _weights(board: Board, states: list[At], units: Units) -> tuple[str, ...]:
    """Weigh the board at each state; nothing where a size is not known, or it was never read."""
    volume_m3 = volume_of(board)
    if math.isnan(volume_m3):
        return ()
    density = species_named(board.species).basic_density
    return tuple(_weight(density, volume_m3, state, units) for state in states)


def _weight(density: float, volume_m3: float, state: At, units: Units) -> str:
    if math.isnan(state.pct):
        return UNKNOWN
    wet = state.pct > wording.WETTEST_TOLD_PCT
    # What is said to be over a limit weighs no less than at that limit.
    low_pct = max(state.low_pct, wording.WETTEST_TOLD_PCT)
    ends = (low_pct, max(state.high_pct, low_pct)) if wet else (state.pct, state.pct)
    low, high = (
        sizes.weight_words(float(board_mass_kg(density, volume_m3, pct)), units) for pct in ends
    )
    return low if low == high else f"{low.rsplit(' ', 1)[0]}–{high}"


def _how_sawn(grain: str | None) -> str:
    if grain:
        return _("Its grain is mixed, so each size has a smallest and a largest figure.")
    return _("How it was sawn is not noted, so each size has a smallest and a largest figure.")


def _sources(board: Board, totals: TotalShrinkage, *, weighed: bool) -> tuple[str, ...]:
    said = [_("Shrinkage: %s") % _marked(totals.provenance, seen=totals.seen)]
    if weighed:
        density = species_named(board.species).density
        said.append(_("Weight: %s") % _marked(density.rule, seen=density.seen))
    return tuple(said)


def _marked(source: str, *, seen: bool) -> str:
    return source if seen else _("%s (typical, unverified)") % source
