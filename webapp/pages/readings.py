"""A reading: it can be struck out, never changed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, flash, redirect, request, url_for

from webapp import clock, wording
from webapp.pages.request_context import database, person
from webapp.problems import NotFound, Refused
from webapp.records.batch import open_batch
from webapp.records.reading import reading_known_as
from webapp.yard.strike_reading import strike_reading

if TYPE_CHECKING:
    from uuid import UUID

    from werkzeug import Response

_ = wording.translation.gettext

SEE_OTHER = 303

blueprint = Blueprint("readings", __name__)


@blueprint.post("/<uuid:uid>/strike")
def strike(uid: UUID) -> Response:
    """Strike a reading out; striking it twice changes nothing."""
    why = request.form.get("why", "").strip()
    if not why:
        raise Refused(_("Say in a word why this reading does not count."))
    with database().writing() as session:
        reading = reading_known_as(session, uid)
        if reading is None or reading.board is None:
            raise NotFound(_("There is no such reading."))
        code, shown = reading.board.code, reading.shown
        if reading.is_live:
            batch = open_batch(session, "form", person(), clock.now())
            strike_reading(session, batch, reading, why)
    flash(_("Struck out: %s") % shown)
    return redirect(url_for("boards.show", code=code), SEE_OTHER)
