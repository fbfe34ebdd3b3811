"""Witness boards: long-dry offcuts that show what air, meter and wood call dry today."""

from __future__ import annotations

from typing import TYPE_CHECKING
from uuid import UUID

from flask import Blueprint, render_template, request, url_for
from werkzeug.datastructures import MultiDict

from webapp import wording
from webapp.entry.reading_form import ReadingForm
from webapp.entry.witness_form import WitnessForm
from webapp.pages.near_readings import near_readings
from webapp.pages.reading_lines import reading_lines
from webapp.pages.request_context import database, look, today
from webapp.pages.sending import Done, drawn, keep, keep_edit
from webapp.pages.species_names import species_names
from webapp.pages.striking import strike_out
from webapp.problems import NotFound
from webapp.records.meter import live_meters, meter_named
from webapp.records.place import live_places, place_known_as
from webapp.records.reading import last_reading_of
from webapp.records.witness_board import witness_board_known_as
from webapp.yard.change_witness import change_witness
from webapp.yard.keep_witness import keep_witness
from webapp.yard.log_reading import log_witness_reading

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug import Response

    from webapp.records.record import Record
    from webapp.records.witness_board import WitnessBoard

    Answer = Response | tuple[str, int]

_ = wording.translation.gettext

# The column behind each field of the form.
COLUMNS = {
    "board": "mark",
    "place": "place_id",
    "species": "species",
    "thickness_mm": "thickness_mm",
    "known_dry_since": "known_dry_since",
    "note": "note",
}

blueprint = Blueprint("witnesses", __name__)


@blueprint.get("/<uuid:uid>")
def show(uid: UUID) -> str:
    """Show one witness board and what it was read at."""
    with database().reading() as session:
        witness = _witness(session, uid)
        last = last_reading_of(session, witness)
        meter = last.meter.name if last and last.meter else None
        known = {"read_on": today(), "meter": meter}
        form = drawn(ReadingForm(today=today(), data=known, units=look().units))
        return _page(session, witness, form)


@blueprint.post("/<uuid:uid>/readings")
def log(uid: UUID) -> Answer:
    """Keep a reading of the witness board."""
    with database().reading() as session:
        witness = _witness(session, uid)
        sent = MultiDict(request.form)
        sent["board"] = witness.mark
        form = ReadingForm(sent, today=today(), units=look().units)
        checked = form.validate() and not _in_doubt(session, witness, form)
    if checked:
        shown = " ".join(hit.shown for hit in form.entry().hits)
        done = Done(_("Saved: %s") % shown, url_for("witnesses.show", uid=uid))
        kept = keep(
            form,
            lambda session, batch: log_witness_reading(session, batch, form.entry()),
            lambda _session: done,
        )
        if kept:
            return kept
    with database().reading() as session:
        return _page(session, _witness(session, uid), form), form.status


@blueprint.route("/new", methods=["GET", "POST"])
def new() -> Answer:
    """Write down a witness board."""
    with database().reading() as session:
        asked = request.args.get("place", type=UUID)
        place = place_known_as(session, asked) if asked else None
        form = drawn(_form(session, {"place": place.name if place else None}))
    if form.sent and form.validate():
        said = _("Witness board %s is written down.") % form.board.data
        kept = keep(
            form,
            lambda session, batch: keep_witness(session, batch, form.entry()),
            lambda _session: Done(said, url_for("witnesses.show", uid=form.uid.data)),
        )
        if kept:
            return kept
    return _form_page(form, None), form.status


@blueprint.route("/<uuid:uid>/edit", methods=["GET", "POST"])
def edit(uid: UUID) -> Answer:
    """Change what is known of a witness board."""
    with database().reading() as session:
        witness = _witness(session, uid)
        facts = {name: getattr(witness, column) for name, column in COLUMNS.items()}
        form = drawn(_form(session, facts | {"place": witness.place.name}), session)
    if form.sent and form.validate():
        said = _("Witness board %s is changed.") % form.board.data
        kept = keep_edit(
            form,
            lambda session: _columns(session, uid),
            lambda session, batch: change_witness(
                session, batch, _witness(session, uid), form.entry()
            ),
            lambda _session: Done(said, url_for("witnesses.show", uid=uid)),
        )
        if kept:
            return kept
    return _form_page(form, witness), form.status


@blueprint.post("/<uuid:uid>/strike")
def strike(uid: UUID) -> Response:
    """Strike out a witness board that was entered by mistake."""
    return strike_out(
        lambda session: _witness(session, uid),
        said=_("The witness board is struck out."),
        go_to=url_for("places.show"),
        back=url_for("witnesses.edit", uid=uid),
    )


def _form(session: Session, data: dict[str, object]) -> WitnessForm:
    places = [place.name for place in live_places(session)]
    return WitnessForm(request.form, today=today(), places=places, data=data, units=look().units)


def _form_page(form: WitnessForm, witness: WitnessBoard | None) -> str:
    return render_template(
        "witnesses/edit.html", form=form, witness=witness, species=species_names()
    )


def _page(session: Session, witness: WitnessBoard, form: ReadingForm) -> str:
    return render_template(
        "witnesses/show.html",
        witness=witness,
        form=form,
        readings=reading_lines(session, witness, look()),
        meters=[(meter.name, meter.name) for meter in live_meters(session)],
    )


def _in_doubt(session: Session, witness: WitnessBoard, form: ReadingForm) -> bool:
    entry = form.entry()
    meter = meter_named(session, entry.meter) if entry.meter else None
    near = near_readings(session, witness, entry.read_on)
    question = form.question(near, meter.over_range_pct if meter else None)
    if question:
        form.sure.errors = [question]
    return question is not None


def _columns(session: Session, uid: UUID) -> dict[str, tuple[Record, str]]:
    witness = _witness(session, uid)
    return {name: (witness, column) for name, column in COLUMNS.items()}


def _witness(session: Session, uid: UUID) -> WitnessBoard:
    witness = witness_board_known_as(session, uid)
    if witness is None or not witness.is_live:
        raise NotFound(_("There is no such witness board."))
    return witness
