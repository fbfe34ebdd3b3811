"""Keep a witness board at a place."""

from sqlalchemy.orm import Session

from webapp.entry.entries import WitnessEntry
from webapp.records.batch import Batch
from webapp.records.place import place_named
from webapp.records.witness_board import WitnessBoard, witness_board_marked
from webapp.yard.checks import free_mark, fresh_uid, known, known_species


def keep_witness(session: Session, batch: Batch, entry: WitnessEntry) -> WitnessBoard:
    """Write down a new witness board; raises Conflict if its mark is used."""
    taken = witness_board_marked(session, entry.board)
    witness = WitnessBoard(
        uid=fresh_uid(session, WitnessBoard, entry.uid),
        batch=batch,
        mark=free_mark(taken, "witness board", entry.board),
        place=known(place_named(session, entry.place), "place", entry.place),
        species=known_species(entry.species),
        thickness_mm=entry.thickness_mm,
        known_dry_since=entry.known_dry_since,
        note=entry.note,
    )
    session.add(witness)
    session.flush()
    return witness
