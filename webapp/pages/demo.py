"""The way into the invented yard; it is entered and left without touching one's own."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, current_app, redirect, render_template, request, url_for

from webapp import clock, wording
from webapp.pages.request_context import today
from webapp.problems import NotFound, Problem

if TYPE_CHECKING:
    from werkzeug import Response

    from webapp.demo_door import DemoDoor

_ = wording.translation.gettext

SEE_OTHER = 303

blueprint = Blueprint("demo", __name__)


@blueprint.get("/invented-yard")
def show() -> str:
    """Show what the invented yard is, and how to enter it."""
    _door()
    return render_template("demo/show.html", trouble="")


@blueprint.post("/invented-yard")
def enter() -> Response | tuple[str, int]:
    """Make today's invented yard if need be, and go there; `anew` makes it in any case."""
    try:
        _door().enter(today(), clock.now(), anew="anew" in request.form)
    except NotFound:
        raise
    except Problem as problem:
        return render_template("demo/show.html", trouble=problem.sentence), problem.status
    except OSError as error:
        trouble = _("The invented yard could not be made: %s.") % (error.strerror or error)
        return render_template("demo/show.html", trouble=trouble), Problem.status
    return redirect(f"{request.script_root}/demo/", SEE_OTHER)


@blueprint.get("/demo/", defaults={"_rest": ""})
@blueprint.get("/demo/<path:_rest>")
def shut(_rest: str) -> Response:
    """Lead whoever comes by an old link to the way in; once open, the invented yard answers."""
    return redirect(url_for("demo.show"), SEE_OTHER)


def _door() -> DemoDoor:
    door: DemoDoor | None = current_app.extensions.get("demo")
    if door is None:
        raise NotFound(_("No invented yard is offered here."))
    return door
