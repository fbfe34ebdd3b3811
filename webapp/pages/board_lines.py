"""One line a board: what a stack's table and a board's own page say of it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from webapp import wording

if TYPE_CHECKING:
    from webapp.pages.stack_lines import StackLine
    from webapp.yard.judge_stack import BoardVerdict

_ = wording.translation.gettext


@dataclass(frozen=True)
class BoardLine:
    """What is said of a board, in words."""

    said: BoardVerdict
    use: str | None = None
    place_kind: str | None = None

    @property
    def sentence(self) -> str:
        """Why it is in its state."""
        verdict = self.said.verdict
        return wording.reason_sentence(verdict.reason, verdict.numbers, self.said.as_of)

    @property
    def next_step(self) -> str:
        """What the keeper does next."""
        return wording.next_step(self.said.verdict.reason, self.place_kind)

    @property
    def is_known(self) -> bool:
        """Whether it was read; what its neighbours make likely is no figure of its own."""
        known = math.isfinite(self.said.verdict.moisture_pct)
        return known and self.said.last_read_on is not None

    @property
    def now(self) -> str:
        """Its moisture now."""
        return wording.level(self.said.verdict.moisture_pct) if self.is_known else "–"

    @property
    def likely(self) -> str:
        """The range its moisture likely lies in."""
        low, high = self.said.verdict.moisture_low, self.said.verdict.moisture_high
        return wording.percent_range(low, high) if self.is_known else "–"

    @property
    def still_to_lose(self) -> str:
        """How far it lies above where its place takes it."""
        excess_pct = self.said.verdict.excess_pct
        return wording.points(excess_pct) if self.is_known else "–"

    @property
    def fit(self) -> str:
        """What it is fit for."""
        verdict, target_pct = self.said.verdict, self.said.target_pct
        return wording.fit_words(verdict.fit, target_pct, self.use, verdict.moisture_pct)

    @property
    def ready(self) -> str:
        """When it should be ready."""
        verdict = self.said.verdict
        target_pct = self.said.target_pct
        return wording.outlook_words(
            verdict.state,
            verdict.fit,
            "" if target_pct is None else wording.use_words(target_pct, self.use),
            (wording.day_of(verdict.ready_from), wording.day_of(verdict.ready_to)),
            self.said.as_of,
            in_reach=verdict.reason not in wording.OUT_OF_REACH,
            read=self.said.last_read_on is not None,
        )

    @property
    def read(self) -> str:
        """What was last read, and how long ago."""
        if self.said.last_read_on is None:
            return _("not read yet")
        ago = wording.days_ago((self.said.as_of - self.said.last_read_on).days)
        return f"{self.said.last_reading}, {ago}"


def board_lines(line: StackLine) -> list[BoardLine]:
    """Say of every board of a stack what is said of it, for its use and its place."""
    kind = line.place.kind if line.place else None
    return [BoardLine(piece.said, piece.use, kind) for piece in line.pieces]
