"""What an import brought, in one sentence: "3 stacks, 36 boards, 400 readings"."""

from __future__ import annotations

from typing import TYPE_CHECKING

from webapp import wording
from webapp.pages.history_nouns import COUNTED, counted
from webapp.yard.recount import recount

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from webapp.yard.take_in_folder import TakenIn

_ = wording.translation.gettext
_n = wording.translation.ngettext


def what_came(session: Session, taken: TakenIn) -> str:
    """Say what an import brought, and how much of it was there before."""
    there = sum(file.already_there for file in taken.files)
    if taken.batch is None:
        if not there:
            return _("The files hold no rows: the yard is as it was.")
        told = _n(
            "All %d row was there already: the yard is as it was.",
            "All %d rows were there already: the yard is as it was.",
            there,
        )
        return told % there
    (brought,) = recount(session, [taken.batch])
    kinds = [kind for kind in COUNTED if kind in brought.wrote]
    # An import of moves alone brings nothing else.
    what = ", ".join(counted(brought.wrote[kind], kind) for kind in kinds) or _("moves")
    said = _("Taken in: %s.") % what
    if there:
        said += " " + _n("%d row was there already.", "%d rows were there already.", there) % there
    return said
