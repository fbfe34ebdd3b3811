"""A board changed or struck out: the forms of the board's page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, render_template, request, url_for

from webapp import wording
from webapp.entry.board_form import BoardForm
from webapp.pages.request_context import database, look, today
from webapp.pages.sending import Done, drawn, keep_edit
from webapp.pages.species_names import species_names
from webapp.pages.striking import strike_out
from webapp.problems import NotFound
from webapp.records.board import board_coded, stack_of, stays_of_board
from webapp.records.log import live_logs, log_marked
from webapp.yard.change_board import FACTS, change_board

if TYPE_CHECKING:
    from typing import Any

    from sqlalchemy.orm import Session
    from werkzeug import Response

    from webapp.records.board import Board
    from webapp.records.record import Record

    Answer = Response | tuple[str, int]

_ = wording.translation.gettext

# Fields that bear their column's name; the mark, the log and the day do not.
SAME = ("species", *FACTS)

blueprint = Blueprint("board_forms", __name__)


@blueprint.route("/<code>/edit", methods=["GET", "POST"])
def edit(code: str) -> Answer:
    """Change what is known of a board."""
    with database().reading() as session:
        board = _board(session, code)
        facts = _facts(session, board)
        form = BoardForm(request.form, today=today(), units=look().units, data=facts)
        drawn(form, session)
        checked = form.sent and form.validate() and _log_is_right(session, form, facts)
    if checked:
        done = Done(_("Board %s is changed.") % form.board.data, url_for("boards.show", code=code))
        kept = keep_edit(
            form,
            lambda session: _columns(session, _board(session, code)),
            lambda session, batch: change_board(
                session, batch, _board(session, code), form.entry()
            ),
            lambda _session: done,
        )
        if kept:
            return kept
    with database().reading() as session:
        page = render_template(
            "boards/edit.html",
            board=_board(session, code),
            form=form,
            species=species_names(),
            logs=[log.mark for log in live_logs(session)],
        )
    return page, form.status


@blueprint.post("/<code>/strike")
def strike(code: str) -> Response:
    """Strike out a board that was entered by mistake."""
    return strike_out(
        lambda session: _board(session, code),
        said=_("The board is struck out."),
        go_to=_stack_address(code),
        back=url_for("board_forms.edit", code=code),
    )


def _stack_address(code: str) -> str:
    """Give the page of the stack that a board lies in; sent twice, it may be struck already."""
    with database().reading() as session:
        board = board_coded(session, code)
        stack = stack_of(session, board, today()) if board else None
    return url_for("stacks.show", code=stack.code) if stack else url_for("yard.show")


def _log_is_right(session: Session, form: BoardForm, facts: dict[str, Any]) -> bool:
    """Say by its field that a log is unknown; ask about one of another species."""
    mark = form.log.data
    if mark is None:
        return True
    log = log_marked(session, mark)
    if log is None:
        form.log.errors = [_("There is no log “%s” in the yard.") % mark]
        return False
    untouched = (mark, form.species.data) == (facts["log"], facts["species"])
    return untouched or not form.ask_of_log(log.species)


def _facts(session: Session, board: Board) -> dict[str, Any]:
    facts = {name: getattr(board, name) for name in SAME}
    facts |= {"board": board.mark, "log": board.log.mark if board.log else None}
    stays = stays_of_board(session, board)
    return facts | {"stacked_on": stays[0].from_on if stays else None}


def _columns(session: Session, board: Board) -> dict[str, tuple[Record, str]]:
    """Name the record and column behind each field."""
    columns: dict[str, tuple[Record, str]] = {name: (board, name) for name in SAME}
    columns |= {"board": (board, "mark"), "log": (board, "log_id")}
    stays = stays_of_board(session, board)
    return columns | ({"stacked_on": (stays[0], "from_on")} if stays else {})


def _board(session: Session, code: str) -> Board:
    board = board_coded(session, code)
    if board is None:
        raise NotFound(_("No board has the code %s.") % code)
    return board
