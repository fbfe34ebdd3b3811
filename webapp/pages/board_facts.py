"""The facts of a board: what it is and what it was sawn to."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from webapp import sizes, wording
from webapp.pages.board_size import volume_of

if TYPE_CHECKING:
    from webapp.look import Look, Units
    from webapp.records.board import Board
    from webapp.yard.judge_stack import BoardVerdict

_ = wording.translation.gettext

Fact = tuple[str, str]


def facts_of(board: Board, said: BoardVerdict | None, look: Look) -> list[Fact]:
    """List what is known of a board; what is not known is left out."""
    facts = [
        (_("species"), board.species),
        (_("rough size"), _size(board, look.units)),
        (_("how sawn"), _(board.grain) if board.grain else ""),
        (_("log"), _log(board)),
        (_("sawn on"), sizes.day_words(board.sawn_on, look.dates) if board.sawn_on else ""),
        (_("borate"), board.borate or ""),
        (_("target"), _target(said)),
    ]
    return [(name, value) for name, value in facts if value]


def _size(board: Board, units: Units) -> str:
    said = sizes.board_size_words(
        board.thickness_mm, board.width_mm, board.width_end_mm, board.length_mm, units
    )
    volume_m3 = volume_of(board)
    return said if math.isnan(volume_m3) else f"{said}, {sizes.volume_words(volume_m3, units)}"


def _log(board: Board) -> str:
    if board.log is None:
        return ""
    if not board.turn:
        return board.log.mark
    return _("%(log)s, turn %(turn)s") % {"log": board.log.mark, "turn": board.turn}


def _target(said: BoardVerdict | None) -> str:
    if said is None or said.target_pct is None:
        return _("as dry as its place makes it")
    return wording.percent(said.target_pct)
