"""What was done to, or seen at, stacks and logs, besides readings."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from sqlalchemy.orm import Session

from seed_demo.drying_years import DryingYears
from webapp.problems import NotFound
from webapp.records.batch import Batch
from webapp.records.stack import stack_marked
from webapp.yard.note_event import note_event


@dataclass(frozen=True)
class Happening:
    """One thing noted at a stack, so many days ago."""

    stack: str
    ago: int
    kind: str
    detail: dict[str, str] = field(default_factory=dict)


HAPPENINGS = (
    Happening("A", 300, "re-stacked", {"by": "Idris and Odile", "note": "two sticks replaced"}),
    Happening("D", 398, "weighted", {"with": "eight concrete blocks"}),
    Happening("E", 455, "straps tightened"),
    Happening("E", 210, "straps tightened"),
    Happening("F", 75, "weighted", {"with": "six concrete blocks"}),
    Happening("J", 423, "borate sprayed", {"by": "Maren"}),
    Happening("L", 84, "re-stacked", {"note": "carried down by the third form"}),
    Happening("M", 118, "covered", {"note": "sheeting all round while the store was painted"}),
)


def note_happenings(
    session: Session, batch: Batch, years: DryingYears, happenings: Iterable[Happening]
) -> None:
    """Write them down, oldest first."""
    for happening in sorted(happenings, key=lambda one: -one.ago):
        stack = stack_marked(session, happening.stack)
        if stack is None:
            raise NotFound(f"There is no stack “{happening.stack}” in the invented yard.")
        on_date = years.day(happening.ago)
        note_event(session, batch, stack, happening.kind, on_date, detail=happening.detail or None)
