"""A person's look, kept in the browser: one for one's own yard and the invented one alike."""

from __future__ import annotations

from typing import TYPE_CHECKING

from webapp.look import PLAIN, Dates, Look, Units

if TYPE_CHECKING:
    from flask import Request
    from werkzeug import Response

COOKIE = "flitchbook_look"
YEAR_S = 365 * 24 * 60 * 60
_OF_THE_STATES = Look(Units.INCH, Dates.MONTH_FIRST)


def look_of(request: Request) -> Look:
    """Give the look chosen in this browser; none chosen yet: what its language makes likely."""
    return _read(request.cookies.get(COOKIE, "")) or _likely(request)


def keep_look(response: Response, look: Look) -> None:
    """Keep a look for a year."""
    response.set_cookie(
        COOKIE,
        f"{look.units}.{look.dates}",
        max_age=YEAR_S,
        httponly=True,
        samesite="Lax",
    )


def _read(kept: str) -> Look | None:
    units, _dot, dates = kept.partition(".")
    try:
        return Look(Units(units), Dates(dates))
    except ValueError:
        return None


def _likely(request: Request) -> Look:
    first = next(iter(request.accept_languages.values()), "")
    return _OF_THE_STATES if first.lower().replace("_", "-") == "en-us" else PLAIN
