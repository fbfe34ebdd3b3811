"""How this browser shows sizes and days; which Flitchbook this is, and where the yard lies."""

from __future__ import annotations

from importlib.metadata import version
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from flask import Blueprint, redirect, render_template, request, url_for

from webapp import sizes, wording
from webapp.entry.look_form import LookForm
from webapp.look import Dates, Units
from webapp.pages.kept_look import keep_look
from webapp.pages.request_context import database, look, today
from webapp.pages.sending import SEE_OTHER, local_path, say

if TYPE_CHECKING:
    from werkzeug import Response

_ = wording.translation.gettext

# A board as each kind of yard would saw it: thickness, width and length in mm, volume in m3.
EXAMPLE_BOARDS = {
    Units.METRIC: (32.0, 180.0, 2400.0),
    Units.INCH: (31.75, 177.8, 2438.4),
}
EXAMPLE_KG_M3 = 650.0

blueprint = Blueprint("settings", __name__)


@blueprint.get("")
def show() -> str:
    """Show what is set in this browser."""
    chosen = look()
    known = {"sizes": chosen.units.value, "days": chosen.dates.value, "back": _came_from()}
    return _page(LookForm(data=known))


@blueprint.post("")
def keep() -> Response | tuple[str, int]:
    """Keep what was chosen in this browser, and go back to where one came from."""
    form = LookForm(request.form)
    if not (form.sent and form.validate()):
        return _page(form), form.status
    back = local_path(form.back.data) or url_for("settings.show")
    say(_("Saved in this browser."), None, back)
    response = redirect(back, SEE_OTHER)
    keep_look(response, form.entry())
    return response


def _page(form: LookForm) -> str:
    days = {dates.value: sizes.day_words(today(), dates) for dates in Dates}
    return render_template(
        "settings/show.html",
        form=form,
        examples={units.value: _example(units) for units in Units} | days,
        version=version("flitchbook"),
        where=database().where,
    )


def _example(units: Units) -> str:
    thickness_mm, width_mm, length_mm = EXAMPLE_BOARDS[units]
    volume_m3 = thickness_mm * width_mm * length_mm / 1e9
    said = (
        sizes.board_size_words(thickness_mm, width_mm, None, length_mm, units),
        sizes.volume_words(volume_m3, units),
        sizes.weight_words(volume_m3 * EXAMPLE_KG_M3, units),
    )
    return ", ".join(said)


def _came_from() -> str:
    """Return the page of ours that led here, if one did."""
    try:
        came = urlsplit(request.referrer or "")
    except ValueError:  # somebody's own idea of an address
        return ""
    if came.netloc != request.host or came.path == request.script_root + request.path:
        return ""
    return came.path + (f"?{came.query}" if came.query else "")
