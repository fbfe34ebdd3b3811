"""Own air records of a place: pasted lines or a logger's file, all of them kept or none."""

from __future__ import annotations

import codecs
from typing import TYPE_CHECKING
from uuid import uuid5

from flask import Blueprint, render_template, request, url_for

from webapp import wording
from webapp.entry.air_form import AirForm
from webapp.pages.request_context import database, look, today
from webapp.pages.sending import Done, drawn, keep
from webapp.problems import NotFound
from webapp.records.place import place_known_as
from webapp.records.record import new_uid
from webapp.yard.keep_air_log import keep_air_log

if TYPE_CHECKING:
    from uuid import UUID

    from sqlalchemy.orm import Session
    from werkzeug import Response

    from webapp.records.batch import Batch
    from webapp.records.place import Place
    from webapp.yard.keep_air_log import KeptLog

    Answer = Response | tuple[str, int]

_ = wording.translation.gettext
_n = wording.translation.ngettext

_SPREADSHEET = b"PK\x03\x04"
_SHOWN_REFUSALS = 20
# A longer file is not laid open in the form when something is wrong with it.
_LONGEST_SHOWN = 100_000

blueprint = Blueprint("place_air", __name__)


@blueprint.route("/<uuid:uid>/air", methods=["GET", "POST"])
def add(uid: UUID) -> Answer:
    """Take own air records of a place."""
    with database().reading() as session:
        place = _place(session, uid)
    form = AirForm(request.form, units=look().units, data={"order": "year_first"})
    if form.sent and _good(form, place):
        taken: list[KeptLog] = []

        def write(session: Session, batch: Batch) -> None:
            there = _place(session, uid)
            taken.append(keep_air_log(session, batch, there, form.read.measured))

        def done(_session: Session) -> Done:
            return Done(_told(taken, form), url_for("places.one", uid=uid))

        kept = keep(form, write, done)
        if kept:
            return kept
    refusals = form.read.refusals
    page = render_template(
        "places/air.html",
        form=drawn(form),
        place=place,
        refusals=refusals[:_SHOWN_REFUSALS],
        more=len(refusals) - _SHOWN_REFUSALS,
    )
    return page, form.status


def _good(form: AirForm, place: Place) -> bool:
    good = form.validate()
    text = _text_sent(form)
    if text is None or not good:
        return False
    if not text.strip():
        form.lines.errors = [_("Paste lines, or choose a file.")]
        return False
    if not form.take(text, place.name, today()):
        form.lines.errors = [_wrong(form)]
        return False
    question = form.question(place.kind)
    form.sure.errors = [question] if question else []
    return question is None


def _text_sent(form: AirForm) -> str | None:
    """Give the text of the file, if one was chosen, else the lines; None if it is no text."""
    upload = request.files.get("file")
    if upload is None or not upload.filename:
        return form.lines._value()  # noqa: SLF001 - as typed, so that the lines count right
    data = upload.read()
    if data.startswith(_SPREADSHEET):
        form.lines.errors = [_("This is a spreadsheet's own file: save the sheet as CSV first.")]
        return None
    text = _decoded(data)
    # The form's key names what was sent; another file under the same key is something else.
    form.uid.data = uuid5(form.uid.data or new_uid(), text)
    if len(text) <= _LONGEST_SHOWN:
        form.lines.raw_data = [text]
    return text


def _decoded(data: bytes) -> str:
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return data.decode("utf-16", errors="replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        # Many loggers write the sign of degrees as Windows of the West has it.
        return data.decode("cp1252", errors="replace")


def _wrong(form: AirForm) -> str:
    count = len(form.read.refusals)
    if not count:
        return _("There is no record in it.")
    return (
        _n(
            "%d line cannot be taken; nothing was kept.",
            "%d lines cannot be taken; nothing was kept.",
            count,
        )
        % count
    )


def _told(taken: list[KeptLog], form: AirForm) -> str:
    log = taken[0] if taken else None
    kept, already = (log.kept, log.already) if log else (0, 0)
    said = [_n("%d air record is kept.", "%d air records are kept.", kept) % kept]
    if already:
        said.append(_n("%d was there already.", "%d were there already.", already) % already)
    if form.read.left_out:
        said.append(_("Columns left out: %s.") % ", ".join(form.read.left_out))
    return " ".join(said)


def _place(session: Session, uid: UUID) -> Place:
    place = place_known_as(session, uid)
    if place is None or not place.is_live:
        raise NotFound(_("There is no such place."))
    return place
