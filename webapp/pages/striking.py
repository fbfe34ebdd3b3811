"""Striking a record out from its page, with a way back."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

from flask import redirect, request

from webapp import wording
from webapp.entry.strike_form import StrikeForm
from webapp.pages.sending import SEE_OTHER, Done, keep, say
from webapp.yard.strike_record import strike_record

if TYPE_CHECKING:
    from collections.abc import Callable

    from sqlalchemy.orm import Session
    from werkzeug import Response

    from webapp.records.batch import Batch
    from webapp.records.record import Record

Found = TypeVar("Found", bound="Record")
_ = wording.translation.gettext


def strike_out(
    find: Callable[[Session], Found],
    said: str,
    go_to: str,
    back: str,
    strike: Callable[[Session, Batch, Found, str], object] = strike_record,
) -> Response:
    """Strike what `find` brings and go on; what stands in the way is said on the page before."""
    form = StrikeForm(request.form)
    if form.validate():
        why = form.why.data or _("entered by mistake")
        kept = keep(
            form,
            lambda session, batch: strike(session, batch, find(session), why),
            lambda _session: Done(said, go_to),
        )
        if kept:
            return kept
    say(" ".join([*form.form_errors, *form.why.errors]), None, back)
    return redirect(back, SEE_OTHER)
