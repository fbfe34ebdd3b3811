"""The facts of a stack: how it is built and kept, and what its keeper noted."""

from __future__ import annotations

from typing import TYPE_CHECKING

from webapp import wording
from webapp.sizes import size_words

if TYPE_CHECKING:
    from webapp.look import Units
    from webapp.records.stack import Stack

_ = wording.translation.gettext
_n = wording.translation.ngettext

Fact = tuple[str, str]


def stack_facts(stack: Stack, units: Units) -> list[Fact]:
    """List what is known of a stack; what is not known is left out."""
    counted, days = stack.board_count, stack.visit_days
    facts = [
        (_("counted"), _n("%d board", "%d boards", counted) % counted if counted else ""),
        (_("kept as"), _(stack.kept_as) if stack.kept_as else ""),
        (_("stickers"), size_words(stack.stickers_mm, units) if stack.stickers_mm else ""),
        (_("stickers apart"), size_words(stack.spacing_mm, units) if stack.spacing_mm else ""),
        (_("held by"), stack.held_by or ""),
        (_("rounds"), _n("every %d day", "every %d days", days) % days if days else ""),
        (_("note"), stack.note or ""),
    ]
    return [(name, value) for name, value in facts if value]
