"""Places: where wood dries, the year's air there, and what it keeps wood at."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, render_template, request, url_for

from webapp import wording
from webapp.entry.place_form import PlaceForm
from webapp.pages.place_facts import form_columns, form_facts, place_lines, place_sheet
from webapp.pages.place_year import place_year
from webapp.pages.request_context import database, look, today
from webapp.pages.sending import Done, drawn, keep, keep_edit
from webapp.pages.stations import Near, station_facts
from webapp.pages.striking import strike_out
from webapp.pages.template_words import unbroken
from webapp.problems import NotFound
from webapp.records.place import place_known_as
from webapp.wood.climate import station_of
from webapp.yard.change_place import change_place
from webapp.yard.set_up_place import set_up_place

if TYPE_CHECKING:
    from uuid import UUID

    from sqlalchemy.orm import Session
    from werkzeug import Response

    from webapp.drying.arrays import Array
    from webapp.pages.place_year import PlaceYear
    from webapp.records.place import Place

    Answer = Response | tuple[str, int]

_ = wording.translation.gettext

blueprint = Blueprint("places", __name__)

blueprint.add_app_template_filter(wording.month_word)


@blueprint.app_template_filter("span")
def span_words(values_pct: Array) -> str:
    """Say the lowest and the highest of several moistures."""
    return unbroken(wording.percent_range(float(values_pct.min()), float(values_pct.max())))


@blueprint.get("/")
def show() -> str:
    """List the places."""
    as_of = today()
    with database().reading() as session:
        return render_template("places/show.html", lines=place_lines(session, as_of), as_of=as_of)


@blueprint.get("/<uuid:uid>")
def one(uid: UUID) -> str:
    """Show one place: its year, what stands and stood there, its own air."""
    as_of = today()
    with database().reading() as session:
        sheet = place_sheet(session, _place(session, uid), as_of)
        return render_template("places/one.html", sheet=sheet, line=sheet.line, as_of=as_of)


@blueprint.get("/year")
def year() -> str:
    """Draw the year of a place that is being typed; what cannot be read counts as missing."""
    return render_template("places/year.svg.html", year=_year_of(_form()))


@blueprint.route("/new", methods=["GET", "POST"])
def new() -> Answer:
    """Set up a place: find a station near it, or type its months."""
    if request.method == "GET" and not {"station", "own"} & set(request.args):
        near = Near(request.args.get("near", ""), request.args.get("country", ""))
        return render_template("places/find.html", near=near), 200
    form = _form(station_facts(request.args.get("station", "")))
    if form.sent and _good(form):

        def done(session: Session) -> Done:
            place = place_known_as(session, form.uid.data)
            path = url_for("places.one", uid=place.uid) if place else url_for("places.show")
            return Done(_("Place %s is set up.") % form.place.data, path)

        kept = keep(form, lambda session, batch: set_up_place(session, batch, form.entry()), done)
        if kept:
            return kept
    return _form_page(drawn(form)), form.status


@blueprint.route("/<uuid:uid>/edit", methods=["GET", "POST"])
def edit(uid: UUID) -> Answer:
    """Change what is known of a place; its stacks are judged anew."""
    with database().reading() as session:
        place = _place(session, uid)
        form = _form(form_facts(session, place))
        drawn(form, session)
    if form.sent and _good(form):

        def done(_session: Session) -> Done:
            return Done(_("Place %s is changed.") % form.place.data, url_for("places.one", uid=uid))

        kept = keep_edit(
            form,
            lambda session: form_columns(session, _place(session, uid)),
            lambda session, batch: change_place(session, batch, _place(session, uid), form.entry()),
            done,
        )
        if kept:
            return kept
    return _form_page(form, place), form.status


@blueprint.post("/<uuid:uid>/strike")
def strike(uid: UUID) -> Answer:
    """Strike out a place that was entered by mistake; refused while stacks stood there."""
    return strike_out(
        lambda session: _place(session, uid),
        said=_("The place is struck out."),
        go_to=url_for("places.show"),
        back=url_for("places.edit", uid=uid),
    )


def _form(data: dict[str, object] | None = None) -> PlaceForm:
    sent = request.form if request.method == "POST" else request.args
    typed = sent if request.method == "POST" or request.endpoint == "places.year" else None
    return PlaceForm(typed, data=data, units=look().units)


def _good(form: PlaceForm) -> bool:
    """Check a form that is to be saved; one that only asks for its drawing is left in peace."""
    if "draw" in request.form:
        form.status = 200
        return False
    if not form.validate():
        return False
    question = form.question()
    form.sure.errors = [question] if question else []
    return question is None


def _year_of(form: PlaceForm) -> PlaceYear:
    kind, air_of = form.kind.data or "open_shed", form.air_of.data or "station"
    return place_year(kind, air_of, form.temperature_c(), form.rh_pct())


def _form_page(form: PlaceForm, place: Place | None = None) -> str:
    return render_template(
        "places/edit.html",
        form=form,
        place=place,
        station=station_of(form.station.data or ""),
        year=_year_of(form),
    )


def _place(session: Session, uid: UUID) -> Place:
    place = place_known_as(session, uid)
    if place is None or not place.is_live:
        raise NotFound(_("There is no such place."))
    return place
