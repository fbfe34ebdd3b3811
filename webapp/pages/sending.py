"""Keeping what a form sent: once, whole, and with nothing typed lost.

A form carries a key made when it was drawn. Its batch bears that key and a digest of what was
typed, so that a double tap or the back button changes nothing, and the same key with other
content is asked about. Whatever cannot be kept comes back on the form.
"""

from __future__ import annotations

import hashlib
import json
from typing import TYPE_CHECKING, NamedTuple, TypeVar, cast

from flask import flash, redirect, request

from webapp import clock, sizes, wording
from webapp.entry.form import YardForm, text_of
from webapp.pages.request_context import database, look, person
from webapp.problems import Conflict, Problem, Refused
from webapp.records.batch import batch_known_as, open_batch
from webapp.records.record import new_uid
from webapp.yard.notice_changes import changes_meanwhile, newest_change

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from uuid import UUID

    from sqlalchemy.orm import Session
    from werkzeug import Response

    from webapp.entry.form import ParsedField
    from webapp.records.batch import Batch
    from webapp.records.record import Record
    from webapp.yard.notice_changes import Meanwhile

    Write = Callable[[Session, Batch], object]
    Known = Callable[[Session], Mapping[str, tuple[Record, str]]]

_ = wording.translation.gettext

AnyForm = TypeVar("AnyForm", bound=YardForm)
SEE_OTHER = 303
# What is said travels in a cookie, and browsers drop one of more than 4 kB.
LONGEST_SAID = 600
# What a form carries beside the words a person typed.
_NOT_TYPED = frozenset({"csrf_token", "uid", "seen", "sure"})


class Done(NamedTuple):
    """What is said when a form was kept, and the address that is shown then.

    `button` is what the button says that takes it back; `again` is said if it was kept before.
    """

    said: str
    go_to: str
    button: str = _("Undo")
    again: str = _("This was saved already.")


class ChangedMeanwhileError(Conflict):
    """Somebody else changed the record after the form was drawn."""

    def __init__(self, changes: Sequence[Meanwhile]) -> None:
        self.changes = tuple(changes)
        super().__init__(
            _(
                "Somebody else changed this while you were typing; see below. What you typed is "
                "still here: look at it, and save it again."
            )
        )


class _SentBeforeError(Conflict):
    """The form's key was used before, for something else."""


def drawn(form: AnyForm, session: Session | None = None) -> AnyForm:
    """Give a form that is drawn the first time its key, and what is known by now."""
    if not form.sent:
        form.uid.put(new_uid())
        if session is not None:
            form.seen.put(newest_change(session))
    return form


def keep(form: YardForm, write: Write, done: Callable[[Session], Done]) -> Response | None:
    """Keep a checked form in one batch, say so and go on; None leaves the trouble on the form.

    `done` is asked with the session also when the form had been kept before.
    """
    form.uid.data = form.uid.data or new_uid()
    try:
        with database().writing() as session:
            again = _kept_before(session, form.uid.data)
            if not again:
                batch = open_batch(session, "form", person(), clock.now(), _digest(), form.uid.data)
                write(session, batch)
            told = done(session)
    except Problem as problem:
        _trouble(form, problem)
        return None
    say(told.again if again else told.said, form.uid.data, told.go_to, told.button)
    return redirect(told.go_to, SEE_OTHER)


def keep_edit(
    form: YardForm, known: Known, write: Write, done: Callable[[Session], Done]
) -> Response | None:
    """Keep a checked form of something already there, unless somebody changed it meanwhile.

    `known` names the record and column behind each field. On a clash, fields that were not
    touched here take the other's value, and those touched by both stay as typed.
    """

    def checked(session: Session, batch: Batch) -> None:
        fields = known(session)
        changes = changes_meanwhile(session, fields, form.seen.data or 0)
        if changes:
            form.seen.put(newest_change(session))
            raise ChangedMeanwhileError(changes)
        write(session, batch)

    return keep(form, checked, done)


def say(sentence: str, batch: UUID | None, back: str, button: str = _("Undo")) -> None:
    """Say on the next page what was done, with a button that takes it back."""
    undo = str(batch) if batch else None
    if len(sentence) > LONGEST_SAID:
        sentence = sentence[: LONGEST_SAID - 1] + "…"
    flash(json.dumps({"said": sentence, "undo": undo, "back": back, "button": button}))


def local_path(address: str | None) -> str | None:
    """Give an address back if it leads to a page of ours and nowhere else."""
    # Browsers pass over tabs and line ends, and take a backslash for a slash.
    odd = any(sign <= " " or sign == "\\" for sign in address or "")
    if address and address.startswith("/") and not address.startswith("//") and not odd:
        return address
    return None


def _kept_before(session: Session, key: UUID) -> bool:
    there = batch_known_as(session, key)
    if there is None:
        return False
    if there.undone_at is not None:
        raise _SentBeforeError(
            _("This was saved before and undone since. Save it again to keep it.")
        )
    if there.file_hash != _digest():
        raise _SentBeforeError(
            _("This form was saved before, with something else in it. Save it again to keep both.")
        )
    return True


def _digest() -> str:
    typed = sorted(
        (name, text) for name, text in request.form.items(multi=True) if name not in _NOT_TYPED
    )
    return hashlib.sha256(json.dumps(typed).encode()).hexdigest()


def _trouble(form: YardForm, problem: Problem) -> None:
    form.status = problem.status if problem.status in {409, 503} else Refused.status
    form.form_errors.append(sizes.with_days(problem.sentence, look().dates))
    if isinstance(problem, _SentBeforeError | ChangedMeanwhileError):
        form.uid.put(new_uid())
    if isinstance(problem, ChangedMeanwhileError):
        _take_over(form, problem.changes)


def _take_over(form: YardForm, changes: Sequence[Meanwhile]) -> None:
    for change in changes:
        field = cast("ParsedField", form[change.field])
        if field.data == change.before:
            field.put(change.now)
            told = _("Was %(before)s, is now %(now)s.")
        else:
            told = _("Was %(before)s, was changed to %(now)s; you typed this.")
        values = {
            name: text_of(value) or _("empty")
            for name, value in (("before", change.before), ("now", change.now))
        }
        field.errors = [*field.errors, told % values]
