"""What leaving a stack or taking it elsewhere comes to, as a table; how its numbers are said."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from webapp import wording

if TYPE_CHECKING:
    from webapp.yard.weigh_leaving import BoardThen, Leaving, Prospect

_ = wording.translation.gettext

FINE_POINTS = 5.0
SAME_TIME = timedelta(days=10)
UNBROKEN = "\u00a0"


@dataclass(frozen=True)
class Cell:
    """What one board would hold."""

    moisture: str
    likely: str


@dataclass(frozen=True)
class Row:
    """What may be done, and what the middle and the wettest board would hold then."""

    name: str
    cells: tuple[Cell, ...]


def rows_of(weighed: Leaving) -> list[Row]:
    """Lay the numbers out, those of here first."""
    by = wording.part_of_month(weighed.driest.on, weighed.as_of)
    now = (_level(board.now_pct) for board in _two(weighed.driest))
    rows = [Row(_("today"), tuple(Cell(moisture, "") for moisture in now))]
    rows.append(_row(_("in six weeks, here"), weighed.six_weeks))
    if weighed.as_of < weighed.driest.on < weighed.year_on.on - SAME_TIME:
        rows.append(_row(_("at its driest here, %s") % by, weighed.driest))
    rows.append(_row(_("a year from today, here"), weighed.year_on))
    if weighed.mended:
        by = wording.part_of_month(weighed.mended.on, weighed.as_of)
        rows.append(_row(_("mended, at its driest here, %s") % by, weighed.mended))
    rows += [_row(_("after six weeks in %s") % there.place, there) for there in weighed.elsewhere]
    if weighed.assumed:
        rows.append(_row(_("after six weeks in a heated room"), weighed.assumed))
    return rows


def _row(name: str, then: Prospect) -> Row:
    return Row(name, tuple(_cell(board) for board in _two(then)))


def _two(then: Prospect) -> tuple[BoardThen, ...]:
    """The middle and the wettest board; one where they are the same."""
    return (then.wettest,) if then.middle.mark == then.wettest.mark else (then.middle, then.wettest)


def _cell(board: BoardThen) -> Cell:
    """Say what a board would hold; only "6 % or more" may be torn, being long."""
    likely = "" if board.low_pct > wording.WETTEST_TOLD_PCT else _between(board)
    if board.high_pct <= wording.WETTEST_TOLD_PCT:
        likely = likely.replace(" ", UNBROKEN)
    return Cell(_level(board.moisture_pct), likely)


def _level(pct: float) -> str:
    return wording.level(pct).replace(" ", UNBROKEN)


def _between(board: BoardThen) -> str:
    """Say between what a board likely is; no finer than that is known."""
    low, high = f"{board.low_pct:.0f}", f"{board.high_pct:.0f}"
    if board.high_pct > wording.WETTEST_TOLD_PCT:
        return _("%s %% or more") % low
    return _("%(low)s to %(high)s %%") % {"low": low, "high": high}


def points_words(off_pct: float) -> str:
    """Say a loss as people say it: by halves, and whole where it is much."""
    step = 1.0 if off_pct >= FINE_POINTS else 2.0
    rounded = round(off_pct * step) / step
    half = rounded == 0.5  # noqa: PLR2004  a half
    return _("about half a point") if half else _("about %s") % wording.points(rounded)


def about(pct: float) -> str:
    """Say a moisture that lies ahead: whole percents are as fine as it is known."""
    return _("about %s") % f"{pct:.0f} %"


def range_words(board: BoardThen) -> str:
    """Say where a board would be, and between what it likely is."""
    return f"{about(board.moisture_pct)} ({_between(board)})"
