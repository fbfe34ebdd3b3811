"""Move a stack to another place."""

from datetime import date

from sqlalchemy.orm import Session

from webapp.problems import Refused
from webapp.records.batch import Batch
from webapp.records.place import Place
from webapp.records.stack import Stack, StackStay, stays_of_stack
from webapp.yard.checks import day_that_came


def move_stack(
    session: Session, batch: Batch, stack: Stack, place: Place, moved_on: date
) -> StackStay:
    """Write down a move; raises Refused if it comes too early or late, or goes nowhere."""
    day_that_came(batch, moved_on, f"A move of “{stack.mark}”")
    stays = stays_of_stack(session, stack)
    if stays:
        last = stays[-1]
        _check_move(stack, last, place, moved_on)
        last.until_on = moved_on
        session.flush()
    stay = StackStay(batch=batch, stack=stack, place=place, from_on=moved_on)
    session.add(stay)
    session.flush()
    return stay


def _check_move(stack: Stack, last: StackStay, place: Place, moved_on: date) -> None:
    if moved_on <= last.from_on:
        raise Refused(
            f"“{stack.mark}” came to “{last.place.name}” on {last.from_on}; "
            f"it cannot move on {moved_on}."
        )
    if last.place_id == place.id and last.until_on is None:
        raise Refused(f"“{stack.mark}” already stands at “{place.name}”.")
