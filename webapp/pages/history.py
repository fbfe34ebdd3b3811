"""History: what was done in the yard, newest first, each with a button that takes it back."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple
from urllib.parse import urlsplit
from uuid import UUID

from flask import Blueprint, current_app, redirect, render_template, request, url_for
from werkzeug.exceptions import HTTPException

from webapp import clock, wording
from webapp.entry.form import YardForm
from webapp.pages.history_words import what_it_did
from webapp.pages.request_context import database, look
from webapp.pages.sending import SEE_OTHER, Done, keep, local_path, say
from webapp.problems import NotFound
from webapp.records.batch import batch_begun, batch_known_as, latest_batches
from webapp.records.board import board_coded
from webapp.records.meter import meter_known_as
from webapp.records.place import place_known_as
from webapp.records.stack import stack_coded
from webapp.records.witness_board import witness_board_known_as
from webapp.sizes import with_days
from webapp.yard.recount import recount
from webapp.yard.undo_batch import undo_batch

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy.orm import Session
    from werkzeug import Response

    from webapp.records.batch import Batch
    from webapp.yard.recount import Recount

_ = wording.translation.gettext

MOST_SHOWN = 50

blueprint = Blueprint("history", __name__)


class Line(NamedTuple):
    """One sitting: when, who, what, and the batch that its button undoes."""

    at: datetime
    person: str | None
    deeds: list[str]
    undone_at: datetime | None
    undoes: UUID


@blueprint.get("/")
def show() -> str:
    """List what was done last."""
    with database().reading() as session:
        told = recount(session, latest_batches(session, MOST_SHOWN))
        lines = [_line(each) for each in told if not each.is_empty]
    return render_template("history/show.html", lines=lines)


@blueprint.post("/<uuid:uid>/undo")
def undo(uid: UUID) -> Response:
    """Take a batch back, or do it again if it takes another one back."""
    form = YardForm(request.form)
    back = local_path(request.form.get("back")) or url_for("history.show")
    kept = keep(
        form,
        lambda session, batch: undo_batch(session, batch, _batch(session, uid)),
        lambda session: _done(session, _batch(session, uid), back),
    )
    if kept:
        return kept
    say(" ".join(form.form_errors), None, back)
    return redirect(back, SEE_OTHER)


def _line(told: Recount) -> Line:
    undone_by = told.undone_by
    return Line(
        at=clock.where_we_are(told.batch.at),
        person=told.batch.person,
        deeds=[with_days(deed, look().dates) for deed in what_it_did(told)],
        undone_at=clock.where_we_are(undone_by.at) if undone_by else None,
        undoes=(undone_by or told.batch).uid,
    )


def _batch(session: Session, uid: UUID) -> Batch:
    batch = batch_known_as(session, uid)
    if batch is None:
        raise NotFound(_("There is nothing of that kind in the history."))
    return batch


def _done(session: Session, undone: Batch, back: str) -> Done:
    """Say what was undone or done again, on the page before if it is there still."""
    begun = batch_begun(session, undone)
    (told,) = recount(session, [begun])
    deeds = "; ".join(with_days(deed, look().dates) for deed in what_it_did(told))
    go_to = back if _is_there(session, back) else url_for("history.show")
    if begun.undone_at is None:
        return Done(_("Done again: %s.") % deeds, go_to, again=_("This was done again already."))
    return Done(
        _("Undone: %s.") % deeds,
        go_to,
        button=_("Redo"),
        again=_("This was undone already."),
    )


def _is_there(session: Session, address: str) -> bool:
    """Tell whether what a page is about is in the yard."""
    path = urlsplit(address).path.removeprefix(request.script_root)
    try:
        endpoint, values = current_app.url_map.bind("").match(path)
    except HTTPException:
        return False
    if "code" in values:
        find = board_coded if endpoint.startswith("board") else stack_coded
        return find(session, values["code"]) is not None
    if isinstance(values.get("uid"), UUID):
        known = (place_known_as, meter_known_as, witness_board_known_as)
        found = [find(session, values["uid"]) for find in known]
        return any(record is not None and record.is_live for record in found)
    return True
