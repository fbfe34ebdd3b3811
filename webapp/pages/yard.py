"""The first page: trouble, where to go and look, what is fit for what, and the rest."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING
from urllib.parse import urlencode

from flask import Blueprint, redirect, render_template, request, url_for
from flask import session as visitor

from webapp.pages.bare_stacks import bare_stacks
from webapp.pages.filters import (
    bare_wanted,
    choices_of,
    lines_wanted,
    piece_wanted,
    wanted_of,
    worth_choosing,
)
from webapp.pages.first_hour import first_hour
from webapp.pages.lots import lots_of
from webapp.pages.request_context import database, look, today
from webapp.pages.stack_lines import lines_of
from webapp.pages.template_words import TROUBLED
from webapp.pages.walk import walk_of
from webapp.records.tally import tally
from webapp.yard.judge_stack import judge_yard

if TYPE_CHECKING:
    from collections.abc import Mapping

    from werkzeug import Response

blueprint = Blueprint("yard", __name__)

REMEMBERED = "yard_filter"


@blueprint.get("/")
def show() -> str | Response:
    """Show the yard as it stands today, or the part of it that the address asks for."""
    asked = request.args.to_dict()
    if "" in asked.values():
        # The form sends every field; the address keeps those that ask for something.
        kept = urlencode({name: asked[name] for name in asked if asked[name]})
        return redirect(url_for("yard.show") + (f"?{kept}" if kept else ""))
    as_of, units = today(), look().units
    with database().reading() as session:
        judged = judge_yard(session, as_of)
        every = lines_of(session, judged, as_of, units)
        bare = bare_stacks(session, {line.stack.id for line in every}, as_of)
        choices = choices_of(every, bare, units)
        wanted = wanted_of(asked, choices, units)
        _remember(wanted.query)
        lines = lines_wanted(every, wanted)
        unread = (line.stack.code for line in every if line.said.last_read_on is None)
        return render_template(
            "yard/show.html",
            as_of=as_of,
            lines=lines,
            bare=bare_wanted(bare, wanted),
            whole=len(every) + len(bare),
            choices=worth_choosing(choices, wanted),
            wanted=wanted,
            trouble=[line for line in lines if line.said.state in TROUBLED],
            rest=[line for line in lines if line.said.state not in TROUBLED],
            walk=walk_of(lines, as_of),
            lots=lots_of(lines, units, partial(piece_wanted, wanted=wanted)),
            first_hour=first_hour(
                tally(session),
                next((one.stack.code for one in bare), None),
                next(unread, None),
                walk_of(every, as_of).next_on,
            ),
        )


@blueprint.app_context_processor
def yard_filter() -> dict[str, Mapping[str, str]]:
    """Tell every page which part of the yard was looked at last, for the way back to it."""
    return {"yard_filter": visitor.get(REMEMBERED, {})}


def _remember(query: Mapping[str, str]) -> None:
    if query:
        visitor[REMEMBERED] = dict(query)
    else:
        visitor.pop(REMEMBERED, None)
