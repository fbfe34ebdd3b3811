"""What belongs to the request at hand: the yard's database, the day, the person."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from flask import current_app, request

from webapp import clock
from webapp.pages.kept_look import look_of

if TYPE_CHECKING:
    from datetime import date

    from webapp.look import Look
    from webapp.records.database import Database


def database() -> Database:
    """Return the yard that this application serves."""
    return cast("Database", current_app.extensions["database"])


def today() -> date:
    """Return the day that verdicts are for."""
    return clock.today()


def person() -> str | None:
    """Return who is at the page; nobody signs in to a yard served to its own computer only."""
    return None


def look() -> Look:
    """Return how whoever is at the page likes sizes and days written."""
    return look_of(request)
