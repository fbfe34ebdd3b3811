"""The facts of a board: what it is, and its size and weight now and when dry."""

from __future__ import annotations

from typing import TYPE_CHECKING

from webapp import wording
from webapp.pages.board_size import size_when_dry, weight_words

if TYPE_CHECKING:
    from webapp.records.board import Board
    from webapp.yard.judge_stack import BoardVerdict

_ = wording.translation.gettext

Fact = tuple[str, str]


def facts_of(board: Board, said: BoardVerdict | None) -> list[Fact]:
    """List what is known of a board; what is not known is left out."""
    facts = [
        (_("species"), board.species),
        (_("rough size"), _size(board)),
        (_("how sawn"), _(board.grain) if board.grain else ""),
        (_("log"), _log(board)),
        (_("sawn on"), wording.full_day(board.sawn_on) if board.sawn_on else ""),
        (_("borate"), board.borate or ""),
        (_("target"), _target(said)),
        (_("size when dry"), size_when_dry(board, said) if said else ""),
        (_("weight"), weight_words(board, said) if said else ""),
    ]
    return [(name, value) for name, value in facts if value]


def _size(board: Board) -> str:
    parts = [f"{board.thickness_mm:g}"]
    if board.width_mm:
        parts.append(_widths(board.width_mm, board.width_end_mm))
    if board.length_mm:
        parts.append(f"{board.length_mm:g}")
    return " × ".join(parts) + " mm"


def _widths(width_mm: float, end_mm: float | None) -> str:
    return f"{width_mm:g}" if end_mm in {None, width_mm} else f"{width_mm:g}–{end_mm:g}"


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
