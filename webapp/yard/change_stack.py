"""Change what is known of a stack, also where and when it was first set up."""

from datetime import date

from sqlalchemy.orm import Session

from webapp.entry.entries import StackEntry
from webapp.problems import Refused
from webapp.records.batch import Batch
from webapp.records.place import Place, place_named
from webapp.records.stack import Stack, StackStay, stack_marked, stays_of_stack
from webapp.yard.check_stays import check_stays
from webapp.yard.checks import day_that_came, free_mark, known

FACTS = (
    "name",
    "stickers_mm",
    "spacing_mm",
    "kept_as",
    "held_by",
    "board_count",
    "target_pct",
    "use",
    "visit_days",
    "note",
)


def change_stack(session: Session, batch: Batch, stack: Stack, entry: StackEntry) -> Stack:
    """Write the new facts down; its first stay takes the place and day of the entry.

    Raises Conflict for another's mark or where boards and readings would fall outside, NotFound
    for an unknown place, Refused for a day to come or after its first move.
    """
    namesake = stack_marked(session, entry.stack)
    stack.mark = free_mark(namesake if namesake is not stack else None, "stack", entry.stack)
    for fact in FACTS:
        setattr(stack, fact, getattr(entry, fact))
    place = known(place_named(session, entry.place), "place", entry.place)
    from_on = day_that_came(batch, entry.stacked_on, f"Stacking “{stack.mark}”")
    stays = list(stays_of_stack(session, stack))
    if stays:
        _set_up_anew(stack, stays, place, from_on)
    session.flush()
    check_stays(session, batch)
    return stack


def _set_up_anew(stack: Stack, stays: list[StackStay], place: Place, from_on: date) -> None:
    first = stays[0]
    if first.until_on is not None and from_on >= first.until_on:
        raise Refused(
            f"“{stack.mark}” moved on {first.until_on}; it was set up before that day, "
            f"not on {from_on}."
        )
    first.place, first.from_on = place, from_on
