"""A witness board changed: what and where it is."""

from dataclasses import replace
from datetime import date

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from tests.yard.undoing import LOFT, SHED, done, exported, sitting, undo
from webapp.entry.entries import WitnessEntry
from webapp.problems import Problem
from webapp.records import Change, WitnessBoard
from webapp.yard.change_witness import change_witness
from webapp.yard.keep_witness import keep_witness
from webapp.yard.set_up_place import set_up_place

OFFCUT = WitnessEntry("Z", "shed", "white oak", 32.0)


@pytest.fixture
def witness(session: Session) -> WitnessBoard:
    for place in (SHED, LOFT):
        set_up_place(session, sitting(session), place)
    return keep_witness(session, sitting(session), OFFCUT)


def test_what_and_where_it_is(session: Session, witness: WitnessBoard) -> None:
    before = exported(session)
    since = date(2019, 1, 1)
    entry = WitnessEntry("Y", "loft", "Juglans nigra", 27.0, since, "from the old bench")
    batch = done(session, change_witness, witness, entry)
    assert (witness.mark, witness.place.name, witness.species) == ("Y", "loft", "black walnut")
    assert (witness.thickness_mm, witness.known_dry_since) == (27.0, since)
    assert witness.note == "from the old bench"
    undo(session, batch)
    assert exported(session) == before


def test_saved_as_it_was_it_leaves_no_change(session: Session, witness: WitnessBoard) -> None:
    done(session, change_witness, witness, OFFCUT)
    assert session.scalars(select(Change)).all() == []


@pytest.mark.parametrize(
    ("entry", "sentence"),
    [
        (replace(OFFCUT, board="Y"), "already a witness board “Y”"),
        (replace(OFFCUT, place="barn"), "no place “barn”"),
        (replace(OFFCUT, species="oak"), "white oak"),
    ],
)
def test_what_cannot_be(
    session: Session, witness: WitnessBoard, entry: WitnessEntry, sentence: str
) -> None:
    done(session, keep_witness, replace(OFFCUT, board="Y"))
    with pytest.raises(Problem, match=sentence):
        done(session, change_witness, witness, entry)
