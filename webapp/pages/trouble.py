"""Problems turned into pages with clear words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import current_app, render_template
from flask_wtf.csrf import CSRFError
from werkzeug.exceptions import HTTPException

from webapp import sizes, wording
from webapp.pages.request_context import look
from webapp.problems import Problem, YardFileProblem

if TYPE_CHECKING:
    from flask import Flask

    Answer = tuple[str, int]

_ = wording.translation.gettext


@dataclass(frozen=True)
class Words:
    """What a page about a trouble says: what it is, and what helps."""

    title: str
    advice: str


TITLES = {
    400: Words(
        wording.marked("This could not be understood"),
        wording.marked("Go back, look at what was sent, and try again."),
    ),
    404: Words(
        wording.marked("Nothing here by that name"),
        wording.marked("Look at the mark or code again, or start from the yard."),
    ),
    405: Words(
        wording.marked("This address takes no such request"),
        wording.marked("Start from the yard."),
    ),
    409: Words(
        wording.marked("This does not fit what is saved already"),
        wording.marked("Nothing was changed. Look at what is there, then enter it again."),
    ),
    413: Words(
        wording.marked("This is too large"),
        wording.marked("Nothing was changed. Send it in smaller parts."),
    ),
    422: Words(
        wording.marked("This cannot be kept as it stands"),
        wording.marked("Go back, correct it, and send it again."),
    ),
    500: Words(
        wording.marked("Something went wrong here"),
        wording.marked(
            "It is our fault, not yours, and nothing was left half done. What happened is "
            "written in the window where Flitchbook was started."
        ),
    ),
    503: Words(
        wording.marked("The yard is busy just now"),
        wording.marked("Somebody else is writing. Wait a moment and send it again."),
    ),
}
FILE_TROUBLE = Words(
    wording.marked("The yard's file cannot be used"),
    wording.marked("Nothing was left half done. When this is put right, open the page again."),
)
STALE = wording.marked(
    "The page had been open too long, or cookies are off, so we cannot be sure that it was you "
    "who sent this. Nothing was changed: open the page again and enter it once more."
)


def register(app: Flask) -> None:
    """Map each trouble to its page."""
    app.register_error_handler(Problem, _show_problem)
    app.register_error_handler(CSRFError, _show_stale)
    app.register_error_handler(HTTPException, _show_http)
    app.register_error_handler(Exception, _show_fault)


def _show_problem(problem: Problem) -> Answer:
    words = FILE_TROUBLE if isinstance(problem, YardFileProblem) else None
    return _page(problem.status, sizes.with_days(problem.sentence, look().dates), words)


def _show_stale(_error: CSRFError) -> Answer:
    return _page(400, _(STALE), Words(TITLES[400].title, ""))


def _show_http(error: HTTPException) -> Answer:
    return _page(error.code or 500, "")


def _show_fault(error: Exception) -> Answer:
    current_app.logger.error("A page failed", exc_info=error)
    return _page(500, "")


def _page(status: int, sentence: str, words: Words | None = None) -> Answer:
    words = words or TITLES.get(status) or TITLES[400 if status < 500 else 500]  # noqa: PLR2004  HTTP's bounds
    said = render_template(
        "trouble/show.html",
        title=_(words.title),
        sentence=sentence,
        advice=_(words.advice) if words.advice else "",
    )
    return said, status
