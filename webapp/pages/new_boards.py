"""Boards added to a stack in bulk: typed in lines, looked at, then saved."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from flask import Blueprint, render_template, request, url_for

from webapp import wording
from webapp.entry.board_marks import plan_marks
from webapp.entry.boards_form import BoardsForm
from webapp.pages.board_preview import looked_at, marks_words, preview_of
from webapp.pages.request_context import database, look, today
from webapp.pages.sending import Done, drawn, keep
from webapp.pages.species_names import species_names
from webapp.problems import Conflict, NotFound, Refused
from webapp.records.board import boards_of, marks_in_use
from webapp.records.log import live_logs, log_marked
from webapp.records.stack import stack_coded, stays_of_stack
from webapp.yard.add_boards import add_boards
from webapp.yard.keep_log import keep_log

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug import Response

    from webapp.entry.entries import BoardEntry, LogEntry
    from webapp.records.batch import Batch
    from webapp.records.stack import Stack

    Answer = Response | tuple[str, int]
    Made = tuple[list[BoardEntry], LogEntry | None]

_ = wording.translation.gettext
_n = wording.translation.ngettext

blueprint = Blueprint("new_boards", __name__)


@blueprint.route("/<code>/boards", methods=["GET", "POST"])
def add(code: str) -> Answer:
    """Take lines of boards; show the boards they make; save those that were looked at."""
    with database().reading() as session:
        form = _form(session, _stack(session, code))
    if form.sent and form.validate() and "save" in request.form:
        written: list[BoardEntry] = []
        kept = keep(
            form,
            lambda session, batch: written.extend(_write(session, batch, code, form)),
            lambda _session: Done(_said(written), url_for("stacks.show", code=code)),
        )
        if kept:
            return kept
    return _page(code, form)


def _page(code: str, form: BoardsForm) -> Answer:
    with database().reading() as session:
        made = _made(session, form) if form.sent and not _is_wrong(form) else None
        if made and not form.form_errors:
            form.status = 200
        page = render_template(
            "stacks/boards.html",
            stack=_stack(session, code),
            form=form,
            preview=preview_of(*made, look().units) if made else None,
            species=species_names(),
            logs=[log.mark for log in live_logs(session)],
            units=look().units,
        )
    return page, form.status


def _form(session: Session, stack: Stack) -> BoardsForm:
    stays = stays_of_stack(session, stack)
    if not stays:
        raise Refused(_("Stack %s stands nowhere yet: say where it stands first.") % stack.mark)
    begins = stays[0].from_on
    there = boards_of(session, stack, today())
    known = {
        "first_mark": plan_marks(stack.mark, [board.mark for board in there]),
        "species": there[-1].species if there else None,
        "stacked_on": today() if there else begins,
    }
    return drawn(
        BoardsForm(request.form, today=today(), begins=begins, units=look().units, data=known)
    )


def _made(session: Session, form: BoardsForm) -> Made | None:
    """Make the boards, and the log they came from if it is new; trouble stays on the form."""
    boards = form.boards(marks_in_use(session))
    new_log = None
    if form.log.data and not _is_wrong(form):
        log = log_marked(session, form.log.data)
        if log is None:
            new_log = form.new_log(boards)
        else:
            form.question_log(log.species, boards)
            if log.sawn_on and not form.sawn_on.data:
                boards = [replace(board, sawn_on=log.sawn_on) for board in boards]
    return None if _is_wrong(form) else (boards, new_log)


def _is_wrong(form: BoardsForm) -> bool:
    return any(field.errors for field in form)


def _write(session: Session, batch: Batch, code: str, form: BoardsForm) -> list[BoardEntry]:
    made = _made(session, form)
    if made is None:
        raise Refused(_("These boards cannot be saved as they stand."))
    if looked_at(*made) != request.form.get("looked"):
        raise Conflict(_("These are not the boards you looked at. Look again, then save."))
    boards, new_log = made
    if new_log:
        keep_log(session, batch, new_log)
    add_boards(session, batch, _stack(session, code), boards)
    return boards


def _said(boards: list[BoardEntry]) -> str:
    words = {"num": len(boards), "marks": marks_words(boards)}
    return (
        _n("%(num)d board added: %(marks)s.", "%(num)d boards added: %(marks)s.", len(boards))
        % words
    )


def _stack(session: Session, code: str) -> Stack:
    stack = stack_coded(session, code)
    if stack is None:
        raise NotFound(_("No stack has the code %s.") % code)
    return stack
