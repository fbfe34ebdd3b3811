"""One line a stack: what the yard page and its lists show of it."""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from webapp import wording
from webapp.drying.verdict import Fit
from webapp.records.board import live_boards
from webapp.records.stack import live_stacks, places_on

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date

    from sqlalchemy.orm import Session

    from webapp.records.board import Board
    from webapp.records.place import Place
    from webapp.records.stack import Stack
    from webapp.yard.judge_stack import BoardVerdict, StackVerdict, YardVerdict

_ = wording.translation.gettext
_n = wording.translation.ngettext

YOUNG_DAYS = 60
WETTEST_SHOWN_PCT, DRIEST_SHOWN_PCT = 40.0, 5.0


@dataclass(frozen=True)
class Way:
    """How far wood has come: hundredths of a bar that runs from wet to dry."""

    now: float
    goal: float | None
    label: str


@dataclass(frozen=True)
class StackLine:
    """A stack, where it stands, what it holds and what is said of it."""

    stack: Stack
    place: Place | None
    said: StackVerdict
    boards: tuple[BoardVerdict, ...]
    wood: str
    sawn_on: date | None
    way: Way | None

    @property
    def ready(self) -> str:
        """When it should be ready, in words."""
        said = self.said
        still = said.fit is not Fit.NO
        return wording.ready_words(said.ready_from, said.ready_to, said.as_of, still=still)

    @property
    def read_words(self) -> str:
        """How long ago any of its boards was last read, in words."""
        last = self.said.last_read_on
        if last is None:
            return _("not read yet")
        return _("read %s") % wording.days_ago((self.said.as_of - last).days)

    @property
    def why(self) -> str:
        """The likely cause of its state, in a sentence."""
        return wording.reason_sentence(self.said.reason, self.said.numbers, self.said.as_of)

    @property
    def cause(self) -> str:
        """The likely cause of a trouble, as short as a line."""
        return wording.likely_cause(self.said.reason, self.said.numbers, self.said.as_of)

    @property
    def next_step(self) -> str:
        """What the keeper does next."""
        return wording.next_step(self.said.reason)

    @property
    def counts(self) -> str:
        """How much of it is fit, and how much is not read."""
        leave = [
            said.board_mark
            for said in self.boards
            if said.last_read_on is not None and said.verdict.fit is not Fit.YES
        ]
        said = self.said
        return wording.stack_fit(said.boards_fit, said.boards_read, said.board_count, leave)

    @property
    def young(self) -> bool:
        """Whether it was sawn so lately that days count."""
        return self.sawn_on is not None and (self.said.as_of - self.sawn_on).days <= YOUNG_DAYS

    @property
    def sawn_words(self) -> str:
        """How long ago its youngest board was sawn, in words."""
        if self.sawn_on is None:
            return ""
        return _("sawn %s") % wording.days_ago((self.said.as_of - self.sawn_on).days)


def lines_of(session: Session, judged: YardVerdict, as_of: date) -> list[StackLine]:
    """Lay out every stack that was judged."""
    stacks = {stack.id: stack for stack in live_stacks(session)}
    places = places_on(session, as_of)
    boards = {board.id: board for board in live_boards(session)}
    verdicts: dict[str, list[BoardVerdict]] = defaultdict(list)
    for verdict in judged.boards:
        verdicts[verdict.stack_mark].append(verdict)
    return [
        _line(
            stacks[said.stack_id],
            places.get(said.stack_id),
            said,
            verdicts[said.stack_mark],
            boards,
        )
        for said in judged.stacks
    ]


def _line(
    stack: Stack,
    place: Place | None,
    said: StackVerdict,
    verdicts: Sequence[BoardVerdict],
    boards: dict[int, Board],
) -> StackLine:
    held = [boards[verdict.board_id] for verdict in verdicts]
    sawn = [board.sawn_on for board in held if board.sawn_on]
    return StackLine(
        stack=stack,
        place=place,
        said=said,
        boards=tuple(verdicts),
        wood=wood_words(held),
        sawn_on=max(sawn, default=None),
        way=way_of(said.wettest, goal_of(verdicts)),
    )


def wood_words(boards: Iterable[Board]) -> str:
    """Say what wood some boards are: species and thickness."""
    held = list(boards)
    species = sorted({board.species for board in held})
    if not species:
        return _("no boards")
    thick = sorted({board.thickness_mm for board in held})
    kinds = (
        ", ".join(species)
        if len(species) <= 2  # noqa: PLR2004  more would not fit on a phone's line
        else _n("%d species", "%d species", len(species)) % len(species)
    )
    span = f"{thick[0]:g}" if len(thick) == 1 else f"{thick[0]:g}–{thick[-1]:g}"
    return f"{kinds} {span} mm"


def goal_of(verdicts: Sequence[BoardVerdict]) -> float | None:
    """Return what a stack is dried to: its boards' target, else where its place takes it."""
    targets = {verdict.target_pct for verdict in verdicts if verdict.target_pct is not None}
    if targets:
        return min(targets)
    ends = [v.verdict.equilibrium_pct for v in verdicts if math.isfinite(v.verdict.equilibrium_pct)]
    return min(ends, default=None)


def way_of(moisture_pct: float, goal_pct: float | None) -> Way | None:
    """Return how far wood has come; nothing where its moisture is not known."""
    if not math.isfinite(moisture_pct):
        return None
    now = wording.level(moisture_pct)
    if goal_pct is None:
        return Way(_hundredths(moisture_pct), None, _("now %s") % now)
    said = _("now %(now)s, to reach %(goal)s") % {"now": now, "goal": wording.percent(goal_pct)}
    return Way(_hundredths(moisture_pct), _hundredths(goal_pct), said)


def _hundredths(moisture_pct: float) -> float:
    share = (WETTEST_SHOWN_PCT - moisture_pct) / (WETTEST_SHOWN_PCT - DRIEST_SHOWN_PCT)
    return round(100 * min(max(share, 0.0), 1.0), 1)
