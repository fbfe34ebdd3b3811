"""Build a stack: set it up at a place."""

from dataclasses import asdict

from sqlalchemy.orm import Session

from webapp.entry.entries import StackEntry
from webapp.records.batch import Batch
from webapp.records.label_code import fresh_code
from webapp.records.place import place_named
from webapp.records.stack import Stack, StackStay, stack_marked
from webapp.yard.checks import day_that_came, free_mark, fresh_uid, known


def build_stack(session: Session, batch: Batch, entry: StackEntry) -> Stack:
    """Write down a new stack; raises Conflict for a used mark, NotFound for an unknown place."""
    facts = asdict(entry)
    mark = free_mark(stack_marked(session, facts.pop("stack")), "stack", entry.stack)
    place = known(place_named(session, facts.pop("place")), "place", entry.place)
    stacked_on = day_that_came(batch, facts.pop("stacked_on"), f"Stacking “{mark}”")
    facts |= {"uid": fresh_uid(session, Stack, entry.uid), "code": fresh_code(session, Stack)}
    first = StackStay(batch=batch, place=place, from_on=stacked_on)
    stack = Stack(batch=batch, mark=mark, stays=[first], **facts)
    session.add(stack)
    session.flush()
    return stack
