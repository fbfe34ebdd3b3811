"""Striking a place out: with its months and air, and not while anything is or was there."""

from datetime import date

import pytest
from sqlalchemy.orm import Session

from tests import make
from tests.yard.test_change_place import ENTRY
from webapp.problems import Conflict
from webapp.records import StackStay
from webapp.records.batch import batch_of
from webapp.records.place import air_at, months_of
from webapp.yard.set_up_place import set_up_place
from webapp.yard.strike_place import strike_place


def test_a_place_goes_with_its_months_and_air(session: Session) -> None:
    place = make.make_place(session, name="Barn")
    make.make_air(session, place=place)
    strike_place(session, batch_of(session), place, "a mistake")
    assert not place.is_live
    assert place.struck_why == "a mistake"
    assert list(months_of(session, place)) == []
    assert list(air_at(session, place)) == []
    assert set_up_place(session, batch_of(session), ENTRY).name == "Barn"


def test_a_place_where_a_stack_stood_stays(session: Session) -> None:
    place = make.make_place(session, name="Barn")
    stack = make.make_stack(session, place, mark="Oak 1")
    stack.stays[0].until_on = date(2024, 6, 1)
    session.flush()
    there = make.make_place(session)
    session.add(StackStay(stack=stack, place=there, from_on=date(2024, 6, 1)))
    session.flush()
    with pytest.raises(Conflict, match="stood there: “Oak 1”"):
        strike_place(session, batch_of(session), place, "a mistake")
    assert place.is_live


def test_many_stacks_are_not_all_named(session: Session) -> None:
    place = make.make_place(session)
    for number in range(9):
        make.make_stack(session, place, mark=f"Oak {number}")
    with pytest.raises(Conflict, match="“Oak 5” and 3 more"):
        strike_place(session, batch_of(session), place, "a mistake")


def test_a_place_where_a_witness_board_lies_stays(session: Session) -> None:
    place = make.make_place(session)
    make.make_witness_board(session, place, mark="V1")
    with pytest.raises(Conflict, match="“V1”"):
        strike_place(session, batch_of(session), place, "a mistake")
