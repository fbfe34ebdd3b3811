"""The first hour of a yard, by the hand: place, stack, boards, first reading, what comes next."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from webapp import wording

if TYPE_CHECKING:
    from datetime import date

    from webapp.records.tally import Tally

_ = wording.translation.gettext


@dataclass(frozen=True)
class Step:
    """One step; ``path`` is its page, below the yard's own address; the next one has the button."""

    title: str
    hint: str
    button: str
    path: str
    done: bool
    is_next: bool


@dataclass(frozen=True)
class FirstHour:
    """The steps, and the day of the next round, which follows them.

    ``empty`` while nothing is written down at all, ``done`` when the first reading is.
    """

    steps: tuple[Step, ...]
    next_on: date | None
    empty: bool
    done: bool


def first_hour(
    tally: Tally, bare_code: str | None, unread_code: str | None, next_on: date | None
) -> FirstHour | None:
    """Lead on from what is there; none once the yard has been read on a second day.

    ``bare_code`` is the code of a stack without boards, ``unread_code`` of one not read yet.
    """
    if tally.days_read > 1:
        return None
    done = (tally.places > 0, tally.stacks > 0, tally.boards > 0, tally.days_read > 0)
    ahead = next((n for n, is_done in enumerate(done) if not is_done), len(done))
    steps = [
        Step(title, hint, button, path, done=done[n], is_next=n == ahead)
        for n, (title, hint, button, path) in enumerate(_words(bare_code, unread_code))
    ]
    return FirstHour(tuple(steps), next_on, empty=not any(done), done=all(done))


def _words(bare_code: str | None, unread_code: str | None) -> list[tuple[str, str, str, str]]:
    boards = f"stacks/{bare_code}/boards" if bare_code else "stacks/new"
    round_ = f"stacks/{unread_code}/round" if unread_code else ""
    return [
        (
            _("A place"),
            _("Where the wood dries: open shed, loft, heated room. Its air is taken from a town."),
            _("Add a place"),
            "places/new",
        ),
        (
            _("A stack"),
            _("Boards on stickers, with the mark you chalk on it and what the wood is for."),
            _("Add a stack"),
            "stacks/new",
        ),
        (
            _("Its boards"),
            _("Species, thickness and how many: a dozen in one line. Or a few marked samples."),
            _("Add boards"),
            boards,
        ),
        (
            _("The first reading"),
            _("Push the meter in at mid-length and type what it shows, board after board."),
            _("Read the stack"),
            round_,
        ),
    ]
