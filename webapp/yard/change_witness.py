"""Change what is known of a witness board; its readings stay."""

from sqlalchemy.orm import Session

from webapp.entry.entries import WitnessEntry
from webapp.records.batch import Batch
from webapp.records.place import place_named
from webapp.records.witness_board import WitnessBoard, witness_board_marked
from webapp.yard.checks import free_mark, known, known_species


def change_witness(
    session: Session, _batch: Batch, witness: WitnessBoard, entry: WitnessEntry
) -> WitnessBoard:
    """Write the new facts down; raises Conflict for another's mark, NotFound for its place."""
    namesake = witness_board_marked(session, entry.board)
    taken = namesake if namesake is not witness else None
    witness.mark = free_mark(taken, "witness board", entry.board)
    witness.place = known(place_named(session, entry.place), "place", entry.place)
    witness.species = known_species(entry.species)
    witness.thickness_mm = entry.thickness_mm
    witness.known_dry_since, witness.note = entry.known_dry_since, entry.note
    session.flush()
    return witness
