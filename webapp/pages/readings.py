"""A reading: it can be struck out, never changed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, redirect, request, url_for

from webapp import wording
from webapp.entry.strike_form import StrikeForm
from webapp.pages.request_context import database
from webapp.pages.sending import SEE_OTHER, Done, keep, say
from webapp.problems import NotFound
from webapp.records.reading import reading_known_as
from webapp.yard.strike_reading import strike_reading

if TYPE_CHECKING:
    from uuid import UUID

    from sqlalchemy.orm import Session
    from werkzeug import Response

    from webapp.records.batch import Batch
    from webapp.records.reading import Reading

_ = wording.translation.gettext

blueprint = Blueprint("readings", __name__)


@blueprint.post("/<uuid:uid>/strike")
def strike(uid: UUID) -> Response:
    """Strike a reading out; striking it twice changes nothing."""
    with database().reading() as session:
        reading = reading_known_as(session, uid)
        if reading is None:
            raise NotFound(_("There is no such reading."))
        board = _subject_of(reading)
        done = Done(_("Struck out: %s") % reading.shown, board)
    form = StrikeForm(request.form)
    if not form.validate() or not form.why.data:
        say(
            _("Say in a word why this reading does not count; nothing was struck out."), None, board
        )
        return redirect(board, SEE_OTHER)
    why: str = form.why.data

    def write(session: Session, batch: Batch) -> None:
        found = reading_known_as(session, uid)
        if found is not None and found.is_live:
            strike_reading(session, batch, found, why)

    kept = keep(form, write, lambda _session: done)
    if kept is None:
        say(" ".join(form.form_errors), None, board)
    return kept or redirect(board, SEE_OTHER)


def _subject_of(reading: Reading) -> str:
    """Give the page of the board, or witness board, that was read."""
    if reading.board is not None:
        return url_for("boards.show", code=reading.board.code)
    if reading.witness_board is not None:
        return url_for("witnesses.show", uid=reading.witness_board.uid)
    raise NotFound(_("There is no such reading."))
