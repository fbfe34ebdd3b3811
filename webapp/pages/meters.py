"""Meters: which instruments are used here, and how each is set."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, render_template, request, url_for

from webapp import wording
from webapp.entry.meter_form import MeterForm
from webapp.pages.request_context import database, look
from webapp.pages.sending import Done, drawn, keep, keep_edit
from webapp.pages.striking import strike_out
from webapp.problems import NotFound
from webapp.records.meter import live_meters, meter_known_as
from webapp.yard.change_meter import change_meter
from webapp.yard.set_up_meter import set_up_meter

if TYPE_CHECKING:
    from uuid import UUID

    from sqlalchemy.orm import Session
    from werkzeug import Response

    from webapp.records.meter import Meter

    Answer = Response | tuple[str, int]

_ = wording.translation.gettext

# The column behind each field of the form.
COLUMNS = {
    "meter": "name",
    "kind": "kind",
    "scale": "scale",
    "temperature": "temperature",
    "over_range_pct": "over_range_pct",
    "under_range_pct": "under_range_pct",
    "needle_mm": "needle_mm",
    "insulated": "insulated",
}

blueprint = Blueprint("meters", __name__)


@blueprint.get("/")
def show() -> str:
    """List the meters."""
    with database().reading() as session:
        return render_template("meters/show.html", meters=live_meters(session))


@blueprint.route("/new", methods=["GET", "POST"])
def new() -> Answer:
    """Set up a meter."""
    form = MeterForm(request.form, units=look().units)
    if form.sent and form.validate():

        def done(_session: Session) -> Done:
            return Done(_("Meter %s is set up.") % form.meter.data, url_for("meters.show"))

        kept = keep(form, lambda session, batch: set_up_meter(session, batch, form.entry()), done)
        if kept:
            return kept
    return render_template("meters/edit.html", form=drawn(form), meter=None), form.status


@blueprint.route("/<uuid:uid>/edit", methods=["GET", "POST"])
def edit(uid: UUID) -> Answer:
    """Change what is known of a meter; readings taken with it are corrected anew."""
    with database().reading() as session:
        meter = _meter(session, uid)
        facts = {name: getattr(meter, column) for name, column in COLUMNS.items()}
        form = drawn(MeterForm(request.form, data=facts, units=look().units), session)
    if form.sent and form.validate():

        def done(_session: Session) -> Done:
            return Done(_("Meter %s is changed.") % form.meter.data, url_for("meters.show"))

        kept = keep_edit(
            form,
            lambda session: {name: (_meter(session, uid), col) for name, col in COLUMNS.items()},
            lambda session, batch: change_meter(session, batch, _meter(session, uid), form.entry()),
            done,
        )
        if kept:
            return kept
    return render_template("meters/edit.html", form=form, meter=meter), form.status


@blueprint.post("/<uuid:uid>/strike")
def strike(uid: UUID) -> Answer:
    """Strike out a meter that was entered by mistake."""
    return strike_out(
        lambda session: _meter(session, uid),
        said=_("The meter is struck out."),
        go_to=url_for("meters.show"),
        back=url_for("meters.edit", uid=uid),
    )


def _meter(session: Session, uid: UUID) -> Meter:
    meter = meter_known_as(session, uid)
    if meter is None or not meter.is_live:
        raise NotFound(_("There is no such meter."))
    return meter
