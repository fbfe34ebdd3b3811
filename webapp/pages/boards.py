"""A board: facts, verdict, chart, readings, and the form for a new one."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from flask import Blueprint, render_template, request, url_for
from werkzeug.datastructures import MultiDict

from webapp import wording
from webapp.charts.drying_chart import drying_chart
from webapp.entry.reading_form import ReadingForm
from webapp.pages.board_facts import facts_of
from webapp.pages.board_lines import BoardLine
from webapp.pages.board_size import size_table
from webapp.pages.drawing import drawing_of
from webapp.pages.near_readings import near_readings
from webapp.pages.neighbours import neighbours_of
from webapp.pages.picture_tables import driest_ahead, months_ahead
from webapp.pages.reading_lines import reading_lines
from webapp.pages.request_context import database, look, today
from webapp.pages.sending import Done, drawn, keep
from webapp.pages.stack_lines import use_of
from webapp.pages.template_words import chart_words
from webapp.problems import NotFound
from webapp.records.board import board_coded, stack_of, stays_of_board
from webapp.records.meter import live_meters, meter_named
from webapp.records.reading import last_reading_of
from webapp.records.stack import place_of
from webapp.yard.judge_stack import judge_yard
from webapp.yard.log_reading import log_reading
from webapp.yard.picture_stack import picture_stack

if TYPE_CHECKING:
    from datetime import date

    from sqlalchemy.orm import Session
    from werkzeug import Response

    from webapp.pages.drawing import Drawing
    from webapp.records.board import Board
    from webapp.records.stack import Stack
    from webapp.yard.judge_stack import BoardVerdict
    from webapp.yard.picture_stack import StackPicture

_ = wording.translation.gettext

blueprint = Blueprint("boards", __name__)


@blueprint.get("/<code>")
def show(code: str) -> str:
    """Show one board as it stands today."""
    with database().reading() as session:
        board = _board(session, code)
        return _page(session, board, _new_form(session, board, today()))


@blueprint.post("/<code>/readings")
def log(code: str) -> Response | tuple[str, int]:
    """Keep a reading; what cannot be kept comes back with all that was typed."""
    with database().reading() as session:
        board = _board(session, code)
        form = _sent_form(board)
        checked = form.validate() and not _in_doubt(session, board, form)
    if checked:
        shown = " ".join(hit.shown for hit in form.entry().hits)
        done = Done(_("Saved: %s") % shown, url_for("boards.show", code=code))
        kept = keep(
            form,
            lambda session, batch: log_reading(session, batch, form.entry()),
            lambda _session: done,
        )
        if kept:
            return kept
    with database().reading() as session:
        return _page(session, _board(session, code), form), form.status


def _in_doubt(session: Session, board: Board, form: ReadingForm) -> bool:
    """Ask once about a value that looks like a slip; the person may say that it is right."""
    entry = form.entry()
    meter = meter_named(session, entry.meter) if entry.meter else None
    question = form.question(
        near_readings(session, board, entry.read_on), meter.over_range_pct if meter else None
    )
    if question:
        form.sure.errors = [question]
    return question is not None


def _board(session: Session, code: str) -> Board:
    board = board_coded(session, code)
    if board is None:
        raise NotFound(_("No board has the code %s.") % code)
    return board


def _new_form(session: Session, board: Board, as_of: date) -> ReadingForm:
    """Begin a reading as the last one was: most of a round is read with one meter."""
    last = last_reading_of(session, board)
    meter = last.meter.name if last and last.meter else None
    known = {"read_on": as_of, "meter": meter}
    return drawn(ReadingForm(today=as_of, data=known, units=look().units))


def _sent_form(board: Board) -> ReadingForm:
    sent = MultiDict(request.form)
    sent["board"] = board.mark
    return ReadingForm(sent, today=today(), units=look().units)


def _page(session: Session, board: Board, form: ReadingForm) -> str:
    as_of = today()
    stack = stack_of(session, board, as_of)
    picture = picture_stack(session, stack, as_of) if stack else None
    judged = judge_yard(session, as_of).boards
    said = next((verdict for verdict in judged if verdict.board_id == board.id), None)
    driest_pct = driest_ahead(picture) if picture else math.nan
    return render_template(
        "boards/show.html",
        board=board,
        stack=stack,
        last_stay=stays_of_board(session, board)[-1:],
        neighbours=neighbours_of(session, board, stack, as_of),
        form=form,
        line=_line(session, board, stack, said, as_of) if said else None,
        drawing=_drawing(board, picture) if picture else None,
        months=months_ahead(picture, [board.mark]) if picture else [],
        facts=facts_of(board, said, look()),
        size=size_table(board, said, driest_pct, look().units),
        readings=reading_lines(session, board, look()),
        meters=[(meter.name, meter.name) for meter in live_meters(session)],
    )


def _line(
    session: Session, board: Board, stack: Stack | None, said: BoardVerdict, as_of: date
) -> BoardLine:
    """Say of a board what is said of it, for its use and its place."""
    place = place_of(session, stack, as_of) if stack else None
    use = use_of(board, stack) if stack else None
    return BoardLine(said, use, place.kind if place else None)


def _drawing(board: Board, picture: StackPicture) -> Drawing:
    figure = drying_chart(picture, board.mark, chart_words())
    label = _("Chart: moisture of board %s over time") % board.mark
    return drawing_of(figure, picture, label, [board.mark])
