"""Work out what is known of a yard on a day, once, and remember it while nothing changes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from webapp.drying.air import AirCourses, air_courses
from webapp.drying.background import background_of
from webapp.drying.forecast import HORIZON_DAYS
from webapp.drying.judge import Judgement, judge
from webapp.yard.kept_background import background_for, keep_background
from webapp.yard.lay_out import Layout, day_number, lay_out
from webapp.yard.recall import Recall

if TYPE_CHECKING:
    from datetime import date

    from sqlalchemy.orm import Session

Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class Worked:
    """A yard's layout with what was concluded from it; nothing where no boards lie in stacks."""

    layout: Layout
    judgement: Judgement | None


_recall: Recall[Judgement | None] = Recall(room=4)


def work_out(session: Session, as_of: date) -> Worked:
    """Judge the yard, or recall how it was judged when nothing has changed since.

    Only the judgement is recalled: a mark or a display's text may change without any number.
    """
    layout = lay_out(session, as_of)

    def anew() -> Judgement | None:
        if len(layout.boards) == 0:
            return None
        air, today = _courses(layout, as_of), day_number(as_of)
        background = background_for(session, layout, as_of) or background_of(
            layout.readings, layout.boards, air, layout.causes, today
        )
        return judge(layout.readings, layout.boards, air, background, today)

    return Worked(layout, _recall.of(layout.fingerprint, anew))


def refit_yard(session: Session, as_of: date, progress: Progress | None = None) -> None:
    """Work out anew what the yard's stacks share, and keep it."""
    tell = progress or (lambda _done, _whole: None)
    tell(0, 3)
    layout = lay_out(session, as_of)
    tell(1, 3)
    if len(layout.boards):
        air = _courses(layout, as_of)
        today = day_number(as_of)
        found = background_of(layout.readings, layout.boards, air, layout.causes, today)
        tell(2, 3)
        keep_background(session, layout, as_of, found)
    tell(3, 3)


def _courses(layout: Layout, as_of: date) -> AirCourses:
    first = float(layout.boards.stays.first_day.min())
    return air_courses(layout.air, first, day_number(as_of) + HORIZON_DAYS + 31.0)
