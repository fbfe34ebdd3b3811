"""Striking a record out from its page, with a way back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import redirect, request

from webapp import wording
from webapp.entry.strike_form import StrikeForm
from webapp.pages.sending import SEE_OTHER, Done, keep, say
from webapp.yard.strike_record import strike_record

if TYPE_CHECKING:
    from collections.abc import Callable

    from sqlalchemy.orm import Session
    from werkzeug import Response

    from webapp.records.record import Record

_ = wording.translation.gettext


def strike_out(find: Callable[[Session], Record], said: str, go_to: str, back: str) -> Response:
    """Strike what `find` brings and go on; what stands in the way is said on the page before."""
    form = StrikeForm(request.form)
    if form.validate():
        why = form.why.data or _("entered by mistake")
        kept = keep(
            form,
            lambda session, batch: strike_record(session, batch, find(session), why),
            lambda _session: Done(said, go_to),
        )
        if kept:
            return kept
    say(" ".join([*form.form_errors, *form.why.errors]), None, back)
    return redirect(back, SEE_OTHER)
