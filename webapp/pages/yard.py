"""The first page: trouble, where to go and look, what is fit for what, and the rest."""

from __future__ import annotations

from flask import Blueprint, render_template

from webapp.pages.lots import lots_of
from webapp.pages.request_context import database, today
from webapp.pages.stack_lines import lines_of
from webapp.pages.template_words import TROUBLED
from webapp.pages.walk import walk_of
from webapp.records.board import live_boards
from webapp.yard.judge_stack import judge_yard

blueprint = Blueprint("yard", __name__)


@blueprint.get("/")
def show() -> str:
    """Show the yard as it stands today."""
    as_of = today()
    with database().reading() as session:
        judged = judge_yard(session, as_of)
        lines = lines_of(session, judged, as_of)
        boards = {board.id: board for board in live_boards(session)}
        return render_template(
            "yard/show.html",
            as_of=as_of,
            lines=lines,
            trouble=[line for line in lines if line.said.state in TROUBLED],
            rest=[line for line in lines if line.said.state not in TROUBLED],
            walk=walk_of(lines, as_of),
            lots=lots_of(judged.boards, boards),
        )
