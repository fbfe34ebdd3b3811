"""Stacks without boards: just begun, only counted, or emptied, each with what to do next."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from webapp import wording
from webapp.records.board import ever_filled
from webapp.records.stack import live_stacks, places_on

if TYPE_CHECKING:
    from collections.abc import Collection
    from datetime import date

    from sqlalchemy.orm import Session

    from webapp.records.place import Place
    from webapp.records.stack import Stack

_ = wording.translation.gettext
_n = wording.translation.ngettext


@dataclass(frozen=True)
class BareStack:
    """A stack of which nothing can be said yet; ``step`` is the page of what to do next."""

    stack: Stack
    place: Place | None
    why: str
    step: str
    step_words: str


def bare_stacks(session: Session, judged: Collection[int], as_of: date) -> list[BareStack]:
    """List the stacks that were not judged, for want of boards or of a place."""
    places, filled = places_on(session, as_of), ever_filled(session)
    return [
        _bare(stack, places.get(stack.id), filled=stack.id in filled)
        for stack in live_stacks(session)
        if stack.id not in judged
    ]


def _bare(stack: Stack, place: Place | None, *, filled: bool) -> BareStack:
    if place is None:
        return BareStack(stack, place, _("stands nowhere yet"), "move", _("Say where it stands"))
    if filled:
        why = _("no boards lie in it today")
        return BareStack(stack, place, why, "boards", _("Add boards"))
    if stack.board_count:
        about = _n("about %d board, none marked", "about %d boards, none marked", stack.board_count)
        return BareStack(stack, place, about % stack.board_count, "boards", _("Mark samples"))
    return BareStack(stack, place, _("no boards yet"), "boards", _("Add boards"))
