"""Moving boards: to another stack, or out of the yard's stacks; one, or several of a stack."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, render_template, request, url_for

from webapp import wording
from webapp.entry.move_form import TO_STACK, MoveForm, MovesForm
from webapp.pages.request_context import database, today
from webapp.pages.sending import Done, drawn, keep
from webapp.problems import NotFound
from webapp.records.board import board_coded, boards_of, stack_of, stays_of_board
from webapp.records.stack import live_stacks, stack_coded, stack_marked
from webapp.yard.checks import known
from webapp.yard.lay_out import as_counted
from webapp.yard.move_board import move_board

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug import Response

    from webapp.records.batch import Batch
    from webapp.records.board import Board
    from webapp.records.stack import Stack

    Answer = Response | tuple[str, int]

_ = wording.translation.gettext
_n = wording.translation.ngettext

_MOST_NAMED = 6

of_board = Blueprint("board_moves", __name__)
of_stack = Blueprint("stack_board_moves", __name__)


@of_board.route("/<code>/move", methods=["GET", "POST"])
def move(code: str) -> Answer:
    """Move one board."""
    with database().reading() as session:
        mark = _board(session, code).mark
        form = drawn(MoveForm(request.form, today=today(), data={"moved_on": today()}))
        checked = form.sent and form.validate() and _stack_is_known(session, form)
    if checked:
        kept = keep(
            form,
            lambda session, batch: _move(session, batch, [_board(session, code)], form),
            lambda _session: Done(_moved_words([mark], form), url_for("boards.show", code=code)),
        )
        if kept:
            return kept
    with database().reading() as session:
        board = _board(session, code)
        page = render_template(
            "boards/move.html",
            board=board,
            stays=stays_of_board(session, board),
            stacks=_others(session, stack_of(session, board, today())),
            form=form,
        )
    return page, form.status


@of_stack.route("/<code>/boards/move", methods=["GET", "POST"])
def move_several(code: str) -> Answer:
    """Move boards of a stack together, as they lie in it today."""
    with database().reading() as session:
        stack = _stack(session, code)
        form = drawn(MovesForm(request.form, today=today(), data={"moved_on": today()}))
        marks = [board.mark for board in _ticked(session, form)]
        checked = form.sent and form.validate() and _stack_is_known(session, form)
    if checked:
        kept = keep(
            form,
            lambda session, batch: _move(session, batch, _ticked(session, form), form),
            lambda _session: Done(_moved_words(marks, form), url_for("stacks.show", code=code)),
        )
        if kept:
            return kept
    with database().reading() as session:
        stack = _stack(session, code)
        page = render_template(
            "stacks/move_boards.html",
            stack=stack,
            boards=sorted(
                boards_of(session, stack, today()), key=lambda board: as_counted(board.mark)
            ),
            stacks=_others(session, stack),
            form=form,
        )
    return page, form.status


def _move(session: Session, batch: Batch, boards: list[Board], form: MoveForm) -> None:
    stack = None
    if form.whither.data == TO_STACK:
        stack = known(stack_marked(session, form.stack.data), "stack", form.stack.data)
    for board in boards:
        move_board(session, batch, board, stack, form.moved_on.data, form.told_why())


def _stack_is_known(session: Session, form: MoveForm) -> bool:
    """Say by its field that no stack bears the mark typed."""
    mark = form.stack.data
    if mark is not None and stack_marked(session, mark) is None:
        form.stack.errors = [_("There is no stack “%s” in the yard.") % mark]
        return False
    return True


def _moved_words(marks: list[str], form: MoveForm) -> str:
    many = len(marks) > _MOST_NAMED
    names = _("%d boards") % len(marks) if many else ", ".join(marks)
    if form.whither.data == TO_STACK:
        words = {"boards": names, "stack": form.stack.data}
        return (
            _n(
                "%(boards)s now lies in stack %(stack)s.",
                "%(boards)s now lie in stack %(stack)s.",
                len(marks),
            )
            % words
        )
    words = {"boards": names, "why": form.told_why()}
    return (
        _n(
            "%(boards)s lies in no stack now: %(why)s.",
            "%(boards)s lie in no stack now: %(why)s.",
            len(marks),
        )
        % words
    )


def _others(session: Session, here: Stack | None) -> list[tuple[str, str]]:
    """Offer the other stacks, each as its field's value and what is said of it."""
    others = [stack for stack in live_stacks(session) if here is None or stack.id != here.id]
    others.sort(key=lambda stack: as_counted(stack.mark))
    return [(stack.mark, f"{stack.mark} {stack.name or ''}".strip()) for stack in others]


def _ticked(session: Session, form: MovesForm) -> list[Board]:
    return [_board(session, code) for code in dict.fromkeys(form.board.data or [])]


def _board(session: Session, code: str) -> Board:
    board = board_coded(session, code)
    if board is None:
        raise NotFound(_("No board has the code %s.") % code)
    return board


def _stack(session: Session, code: str) -> Stack:
    stack = stack_coded(session, code)
    if stack is None:
        raise NotFound(_("No stack has the code %s.") % code)
    return stack
