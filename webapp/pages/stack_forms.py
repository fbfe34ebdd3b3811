"""A stack set up, changed, moved, struck out: the forms of the stack pages."""

from __future__ import annotations

from typing import TYPE_CHECKING
from uuid import UUID

from flask import Blueprint, render_template, request, url_for

from webapp import wording
from webapp.entry.stack_form import MoveForm, StackForm
from webapp.pages.request_context import database, look, today
from webapp.pages.sending import Done, drawn, keep, keep_edit
from webapp.pages.striking import strike_out
from webapp.problems import NotFound
from webapp.records.place import live_places, place_known_as, place_named
from webapp.records.stack import place_of, stack_coded, stack_known_as, stays_of_stack
from webapp.wood.uses import USES, use_named
from webapp.yard.build_stack import build_stack
from webapp.yard.change_stack import change_stack
from webapp.yard.checks import known
from webapp.yard.move_stack import move_stack

if TYPE_CHECKING:
    from collections.abc import Mapping
    from typing import Any

    from sqlalchemy.orm import Session
    from werkzeug import Response

    from webapp.records.batch import Batch
    from webapp.records.record import Record
    from webapp.records.stack import Stack

    Answer = Response | tuple[str, int]

_ = wording.translation.gettext

# Fields that bear their column's name; the mark, the place and the day do not.
SAME = (
    "name",
    "use",
    "target_pct",
    "board_count",
    "stickers_mm",
    "spacing_mm",
    "kept_as",
    "held_by",
    "visit_days",
    "note",
)

blueprint = Blueprint("stack_forms", __name__)


@blueprint.route("/new", methods=["GET", "POST"])
def new() -> Answer:
    """Set up a stack, then go on to its boards."""
    with database().reading() as session:
        places = [place.name for place in live_places(session)]
        chosen = _place_asked_for(session) or (places[0] if len(places) == 1 else None)
        known_by_now = {"stacked_on": today(), "place": chosen}
        form = drawn(_form(places, known_by_now))
    if form.sent and form.validate():
        kept = keep(
            form,
            lambda session, batch: build_stack(session, batch, form.entry()),
            lambda session: _set_up(session, form),
        )
        if kept:
            return kept
    page = render_template("stacks/edit.html", form=form, stack=None, uses=USES, places=places)
    return page, form.status


@blueprint.route("/<code>/edit", methods=["GET", "POST"])
def edit(code: str) -> Answer:
    """Change what is known of a stack, also where and when it was first set up."""
    with database().reading() as session:
        stack = _stack(session, code)
        places = [place.name for place in live_places(session)]
        form = drawn(_form(places, _facts(session, stack)), session)
    if form.sent and form.validate():
        done = Done(_("Stack %s is changed.") % form.stack.data, _address(code))
        kept = keep_edit(
            form,
            lambda session: _columns(session, _stack(session, code), form),
            lambda session, batch: change_stack(
                session, batch, _stack(session, code), form.entry()
            ),
            lambda _session: done,
        )
        if kept:
            return kept
    page = render_template("stacks/edit.html", form=form, stack=stack, uses=USES, places=places)
    return page, form.status


@blueprint.route("/<code>/move", methods=["GET", "POST"])
def move(code: str) -> Answer:
    """Move a stack to another place."""
    as_of = today()
    with database().reading() as session:
        stack = _stack(session, code)
        here = place_of(session, stack, as_of)
        names = [place.name for place in live_places(session)]
        others = [name for name in names if here is None or name != here.name]
        data = {"moved_on": as_of, "place": others[0] if len(others) == 1 else None}
        form = drawn(MoveForm(request.form, today=as_of, places=others, data=data))
    if form.sent and form.validate():
        words = {"stack": stack.mark, "place": form.place.data}
        done = Done(_("Stack %(stack)s moved to %(place)s.") % words, _address(code))

        def write(session: Session, batch: Batch) -> None:
            place = known(place_named(session, form.place.data), "place", form.place.data)
            move_stack(session, batch, _stack(session, code), place, form.moved_on.data)

        kept = keep(form, write, lambda _session: done)
        if kept:
            return kept
    page = render_template("stacks/move.html", form=form, stack=stack, here=here, others=others)
    return page, form.status


@blueprint.post("/<code>/strike")
def strike(code: str) -> Response:
    """Strike out a stack that was entered by mistake."""
    return strike_out(
        lambda session: _stack(session, code),
        said=_("The stack is struck out."),
        go_to=url_for("yard.show"),
        back=url_for("stack_forms.edit", code=code),
    )


def _form(places: list[str], data: Mapping[str, Any]) -> StackForm:
    return StackForm(request.form, today=today(), places=places, data=data, units=look().units)


def _place_asked_for(session: Session) -> str | None:
    """Name the place that the page before had in mind."""
    asked = request.args.get("place", type=UUID)
    place = place_known_as(session, asked) if asked else None
    return place.name if place is not None and place.is_live else None


def _facts(session: Session, stack: Stack) -> dict[str, Any]:
    facts = {name: getattr(stack, name) for name in SAME}
    use = use_named(stack.use)
    if use is not None:
        facts["use"] = use.name
        if stack.target_pct == use.target_pct:
            facts["target_pct"] = None
    facts["stack"] = stack.mark
    stays = stays_of_stack(session, stack)
    if stays:
        facts |= {"place": stays[0].place.name, "stacked_on": stays[0].from_on}
    return facts


def _columns(session: Session, stack: Stack, form: StackForm) -> dict[str, tuple[Record, str]]:
    """Name the record and column behind each field that is typed."""
    columns: dict[str, tuple[Record, str]] = {name: (stack, name) for name in SAME}
    if form.target_pct.data is None:
        del columns["target_pct"]  # it follows the use
    columns["stack"] = (stack, "mark")
    stays = stays_of_stack(session, stack)
    if stays:
        columns |= {"place": (stays[0], "place_id"), "stacked_on": (stays[0], "from_on")}
    return columns


def _set_up(session: Session, form: StackForm) -> Done:
    stack = known(stack_known_as(session, form.uid.data), "stack", form.stack.data)
    if not stack.is_live:
        return Done(
            "", url_for("yard.show"), again=_("This was saved before and struck out since.")
        )
    said = _("Stack %s is set up. Now add its boards.") % stack.mark
    return Done(said, url_for("new_boards.add", code=stack.code))


def _address(code: str) -> str:
    return url_for("stacks.show", code=code)


def _stack(session: Session, code: str) -> Stack:
    stack = stack_coded(session, code)
    if stack is None:
        raise NotFound(_("No stack has the code %s.") % code)
    return stack
