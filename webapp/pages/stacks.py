"""A stack: verdict and next step in a sentence, its chart, its boards."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, render_template

from webapp import wording
from webapp.charts.stack_chart import stack_chart
from webapp.pages.board_lines import board_lines
from webapp.pages.drawing import drawing_of
from webapp.pages.leaving import leaving_words
from webapp.pages.picture_tables import months_ahead, read_days
from webapp.pages.request_context import database, look, today
from webapp.pages.spots import spot_words
from webapp.pages.stack_facts import stack_facts
from webapp.pages.stack_lines import lines_of
from webapp.pages.template_words import chart_words
from webapp.problems import NotFound
from webapp.records.board import live_boards
from webapp.records.stack import stack_coded, stays_of_stack
from webapp.yard.judge_stack import judge_yard
from webapp.yard.picture_stack import picture_stack

if TYPE_CHECKING:
    from datetime import date

    from sqlalchemy.orm import Session

    from webapp.pages.stack_lines import StackLine
    from webapp.records.stack import Stack

_ = wording.translation.gettext

blueprint = Blueprint("stacks", __name__)


@blueprint.get("/<code>")
def show(code: str) -> str:
    """Show one stack as it stands today."""
    as_of = today()
    with database().reading() as session:
        stack = stack_coded(session, code)
        if stack is None:
            raise NotFound(_("No stack has the code %s.") % code)
        line = _line_of(session, stack, as_of)
        picture = picture_stack(session, stack, as_of)
        marks = list(picture.curves)
        figure = stack_chart(picture, _named(line), chart_words())
        label = _("Chart: moisture of every board of stack %s over time") % stack.mark
        return render_template(
            "stacks/show.html",
            line=line,
            stack=stack,
            boards=board_lines(line) if line else [],
            marks=marks,
            stays=stays_of_stack(session, stack),
            facts=stack_facts(stack, look().units),
            drawing=drawing_of(figure, picture, label, marks),
            months=months_ahead(picture, marks),
            read_days=read_days(picture, marks),
            codes={board.id: board.code for board in live_boards(session)},
            leaving=leaving_words(session, stack, as_of, look().units),
            spots=spot_words(session, stack, as_of, look()) if line else None,
        )


def _line_of(session: Session, stack: Stack, as_of: date) -> StackLine | None:
    """Bring what is said of a stack; nothing where no board lies in it."""
    lines = lines_of(session, judge_yard(session, as_of), as_of, look().units)
    return next((line for line in lines if line.stack.id == stack.id), None)


def _named(line: StackLine | None) -> list[str]:
    """Tell which boards stand out in the chart: a few in trouble, else the wettest."""
    if line is None:
        return []
    troubled = list(line.said.troubled)
    if troubled and len(troubled) * 2 <= len(line.boards):
        return troubled
    wettest = max(line.boards, key=lambda said: said.verdict.moisture_pct, default=None)
    return [wettest.board_mark] if wettest else []
