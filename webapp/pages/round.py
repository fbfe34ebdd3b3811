"""A round as a plain form: the whole stack on one page, a field a board, saved at once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import Blueprint, render_template, request, url_for

from webapp import wording
from webapp.entry.reading_text import LONGEST_HIT
from webapp.entry.round_form import RoundForm, RoundLine
from webapp.pages.board_lines import BoardLine
from webapp.pages.near_readings import near_readings
from webapp.pages.request_context import database, look, today
from webapp.pages.sending import Done, drawn, keep
from webapp.problems import NotFound
from webapp.records.board import board_coded, boards_of
from webapp.records.meter import live_meters, meter_named
from webapp.records.reading import last_reading_of
from webapp.records.stack import place_of, stack_coded
from webapp.records.witness_board import witness_boards_at
from webapp.yard.judge_stack import judge_yard
from webapp.yard.lay_out import as_counted
from webapp.yard.log_reading import log_reading, log_witness_reading

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from sqlalchemy.orm import Session
    from werkzeug import Response

    from webapp.records.batch import Batch
    from webapp.records.board import Board
    from webapp.records.stack import Stack
    from webapp.records.witness_board import WitnessBoard

    Answer = Response | tuple[str, int]

_ = wording.translation.gettext
_n = wording.translation.ngettext

blueprint = Blueprint("round", __name__)


@dataclass(frozen=True)
class Stop:
    """A board on the round: its field's key, and what is known of it by now."""

    line: RoundLine
    subject: Board | WitnessBoard
    last: str
    expected: str


@blueprint.route("/<code>/round", methods=["GET", "POST"])
def take(code: str) -> Answer:
    """Take the readings of one day; those that look like slips are asked about first."""
    as_of = today()
    with database().reading() as session:
        stack = _stack(session, code)
        stops = [*_stops(session, stack, as_of), *_strays(session, stack, as_of)]
        form = drawn(_form(session, stops, as_of))
        form.form_errors.extend(_lost(form))
        checked = form.sent and form.validate() and not form.form_errors and form.check_typed()
        if checked and _in_doubt(session, form, stops):
            checked = False
        elif checked:
            form.status = 200
    if checked:
        count = len(form.typed())
        said = _n("%d reading saved.", "%d readings saved.", count) % count
        kept = keep(
            form,
            lambda session, batch: _write(session, batch, form),
            lambda _session: Done(said, url_for("stacks.show", code=code)),
        )
        if kept:
            return kept
    page = render_template(
        "stacks/round.html",
        form=form,
        stack=stack,
        stops=stops,
        meters=bool(form.meter.choices),
        today=as_of,
    )
    return page, form.status


def _form(session: Session, stops: Sequence[Stop], as_of: date) -> RoundForm:
    """Begin a round as the last one was: most are read with one meter."""
    last = [last_reading_of(session, stop.subject) for stop in stops]
    newest = max((read for read in last if read), key=lambda read: read.read_on, default=None)
    meters = [meter.name for meter in live_meters(session)]
    usual = newest.meter.name if newest and newest.meter else None
    if usual is None and len(meters) == 1:
        usual = meters[0]
    return RoundForm.make(
        [stop.line for stop in stops],
        request.form,
        today=as_of,
        meters=meters,
        data={"read_on": as_of, "meter": usual},
        units=look().units,
    )


def _stops(session: Session, stack: Stack, as_of: date) -> list[Stop]:
    """List the stack's boards as people count, then the witness boards of its place."""
    said = {verdict.board_id: BoardLine(verdict) for verdict in judge_yard(session, as_of).boards}
    boards = sorted(boards_of(session, stack, as_of), key=lambda board: as_counted(board.mark))
    stops = [_stop(board, said.get(board.id)) for board in boards]
    place = place_of(session, stack, as_of)
    for witness in witness_boards_at(session, place) if place else ():
        line = RoundLine(witness.uid.hex, witness.mark, witness=True)
        stops.append(Stop(line, witness, _("witness board"), ""))
    return stops


def _strays(session: Session, stack: Stack, as_of: date) -> list[Stop]:
    """List boards that were typed here and lie elsewhere by now: nothing typed may be lost."""
    typed = {
        name.removeprefix("hits_")
        for name, text in request.form.items()
        if name.startswith("hits_") and text.strip()
    }
    here = {board.code for board in boards_of(session, stack, as_of)}
    found = (board_coded(session, code) for code in sorted(typed - here))
    return [
        Stop(RoundLine(board.code, board.mark), board, _("lies elsewhere by now"), "")
        for board in found
        if board is not None
    ]


def _lost(form: RoundForm) -> list[str]:
    """Tell what was typed for boards that are in the yard no more."""
    known = {f"hits_{line.key}" for line in form.lines}
    return [
        _("“%s” was typed for a board that is here no more; it was not saved.")
        % text.strip()[:LONGEST_HIT]
        for name, text in request.form.items()
        if name.startswith("hits_") and name not in known and text.strip()
    ]


def _stop(board: Board, said: BoardLine | None) -> Stop:
    line = RoundLine(board.code, board.mark)
    if said is None or said.said.last_read_on is None:
        return Stop(line, board, _("not read yet"), "")
    return Stop(line, board, said.read, said.likely)


def _in_doubt(session: Session, form: RoundForm, stops: Sequence[Stop]) -> bool:
    meter = meter_named(session, form.meter.data) if form.meter.data else None
    near = {
        stop.line.key: found
        for stop in stops
        if (found := near_readings(session, stop.subject, form.read_on.data))
    }
    return form.ask(near, meter.over_range_pct if meter else None)


def _write(session: Session, batch: Batch, form: RoundForm) -> None:
    for line, entry in form.entries():
        log = log_witness_reading if line.witness else log_reading
        log(session, batch, entry)


def _stack(session: Session, code: str) -> Stack:
    stack = stack_coded(session, code)
    if stack is None:
        raise NotFound(_("No stack has the code %s.") % code)
    return stack
