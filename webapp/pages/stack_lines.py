"""One line a stack: what the yard page and its lists show of it."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from webapp import sizes, wording
from webapp.drying.verdict import Fit
from webapp.pages.template_words import TROUBLED
from webapp.pages.ways import Way, target_of, way_of
from webapp.records.board import first_stacked, live_boards
from webapp.records.stack import live_stacks, places_on

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import date

    from sqlalchemy.orm import Session

    from webapp.drying.verdict import State
    from webapp.look import Units
    from webapp.records.board import Board
    from webapp.records.place import Place
    from webapp.records.stack import Stack
    from webapp.yard.judge_stack import BoardVerdict, StackVerdict, YardVerdict

_ = wording.translation.gettext
_n = wording.translation.ngettext

YOUNG_DAYS = 60
FEW = 3


@dataclass(frozen=True)
class Piece:
    """A board of a stack with what is said of it, and the use it is dried for."""

    board: Board
    said: BoardVerdict
    use: str | None


@dataclass(frozen=True)
class StackLine:
    """A stack, where it stands, what it holds and what is said of it."""

    stack: Stack
    place: Place | None
    said: StackVerdict
    pieces: tuple[Piece, ...]
    wood: str
    sawn_on: date | None
    stacked_on: date | None

    @property
    def boards(self) -> tuple[BoardVerdict, ...]:
        """What is said of each of its boards."""
        return tuple(piece.said for piece in self.pieces)

    @property
    def way(self) -> Way | None:
        """How far its wettest board has come."""
        return way_of(self.said.wettest, self.boards)

    @property
    def for_what(self) -> str:
        """What it is dried for, in words; empty for as dry as its place makes it."""
        target_pct = target_of(self.boards)
        use = self.stack.use if target_pct == self.stack.target_pct else None
        return "" if target_pct is None else wording.use_words(target_pct, use)

    @property
    def ready(self) -> str:
        """When it should be as dry as it is wanted, in words."""
        said = self.said
        return wording.outlook_words(
            said.state,
            said.fit,
            self.for_what,
            (said.ready_from, said.ready_to),
            said.as_of,
            in_reach=said.reason not in wording.OUT_OF_REACH,
            read=said.last_read_on is not None,
        )

    @property
    def read_words(self) -> str:
        """How long ago any of its boards was last read, in words."""
        last = self.said.last_read_on
        if last is None:
            return _("not read yet")
        return _("read %s") % wording.days_ago((self.said.as_of - last).days)

    @property
    def why(self) -> str:
        """The likely cause of its state; the wettest board is named where another one speaks."""
        sentence = wording.reason_sentence(self.said.reason, self.said.numbers, self.said.as_of)
        read = [said for said in self.boards if said.last_read_on is not None]
        wettest = max(read, key=lambda said: said.verdict.moisture_pct, default=None)
        spoken = self.said.numbers.get("moisture_pct")
        if wettest is None or not isinstance(spoken, float):
            return sentence
        level = wording.level(wettest.verdict.moisture_pct)
        if level == wording.level(spoken):
            return sentence
        named = {"board": wettest.board_mark, "level": level}
        return f"{sentence} {_('The wettest board, %(board)s, holds %(level)s.') % named}"

    @property
    def cause(self) -> str:
        """The likely cause of a trouble, as short as a line."""
        return wording.likely_cause(self.said.reason, self.said.numbers, self.said.as_of)

    @property
    def next_step(self) -> str:
        """What the keeper does next."""
        return wording.next_step(self.said.reason, self.place.kind if self.place else None)

    @property
    def counts(self) -> str:
        """How much of it is fit for what, and how much is not read."""
        leave = [
            said.board_mark
            for said in self.boards
            if said.last_read_on is not None and said.verdict.fit is not Fit.YES
        ]
        said = self.said
        return wording.stack_fit(
            said.boards_fit, said.boards_read, said.board_count, leave, self.for_what
        )

    @property
    def odd_boards(self) -> str:
        """Which boards are in trouble while their stack is not, in words."""
        if self.said.state in TROUBLED or not self.said.troubled:
            return ""
        states = {said.board_mark: said.verdict.state for said in self.boards}
        marks: dict[State, list[str]] = defaultdict(list)
        for mark in self.said.troubled:
            marks[states[mark]].append(mark)
        return "; ".join(f"{_few(marks[s])} {wording.state_word(s)}" for s in marks)

    @property
    def young(self) -> bool:
        """Whether it was sawn so lately that days count."""
        since = self.sawn_on or self.stacked_on
        return since is not None and (self.said.as_of - since).days <= YOUNG_DAYS

    @property
    def sawn_words(self) -> str:
        """How long ago its youngest board was sawn, else stacked, in words."""
        if self.sawn_on is not None:
            return _("sawn %s") % wording.days_ago((self.said.as_of - self.sawn_on).days)
        if self.stacked_on is not None:
            return _("stacked %s") % wording.days_ago((self.said.as_of - self.stacked_on).days)
        return ""


def lines_of(session: Session, judged: YardVerdict, as_of: date, units: Units) -> list[StackLine]:
    """Lay out every stack that was judged."""
    stacks = {stack.id: stack for stack in live_stacks(session)}
    places = places_on(session, as_of)
    boards = {board.id: board for board in live_boards(session)}
    stacked = first_stacked(session)
    verdicts: dict[str, list[BoardVerdict]] = defaultdict(list)
    for verdict in judged.boards:
        verdicts[verdict.stack_mark].append(verdict)
    lines = []
    for said in judged.stacks:
        stack = stacks[said.stack_id]
        held = [(boards[verdict.board_id], verdict) for verdict in verdicts[said.stack_mark]]
        pieces = [Piece(board, verdict, use_of(board, stack)) for board, verdict in held]
        lines.append(_line(stack, places.get(stack.id), said, pieces, stacked, units))
    return lines


def use_of(board: Board, stack: Stack) -> str | None:
    """Return what a board is dried for: its stack's use, unless it has a target of its own."""
    own = board.target_pct is not None and board.target_pct != stack.target_pct
    return None if own else stack.use


def _line(
    stack: Stack,
    place: Place | None,
    said: StackVerdict,
    pieces: Sequence[Piece],
    stacked: Mapping[int, date],
    units: Units,
) -> StackLine:
    held = [piece.board for piece in pieces]
    return StackLine(
        stack=stack,
        place=place,
        said=said,
        pieces=tuple(pieces),
        wood=wood_words(held, units),
        sawn_on=max((board.sawn_on for board in held if board.sawn_on), default=None),
        stacked_on=max((stacked[board.id] for board in held if board.id in stacked), default=None),
    )


def _few(marks: Sequence[str]) -> str:
    if len(marks) <= FEW:
        return ", ".join(marks)
    return _n("%d board", "%d boards", len(marks)) % len(marks)


def wood_words(boards: Iterable[Board], units: Units) -> str:
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
    return f"{kinds} {sizes.span_words(thick[0], thick[-1], units)}"
