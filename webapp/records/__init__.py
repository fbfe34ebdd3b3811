"""What people wrote down: tables, and finders below each class."""

from webapp.records import history
from webapp.records.batch import Batch, Change
from webapp.records.board import Board, BoardStay
from webapp.records.database import Base, Database
from webapp.records.event import Event
from webapp.records.kept import YardEffect
from webapp.records.log import Log
from webapp.records.meter import Meter
from webapp.records.place import Air, Place, PlaceMonth
from webapp.records.reading import Reading
from webapp.records.record import Record
from webapp.records.round import Round
from webapp.records.stack import Stack, StackStay
from webapp.records.witness_board import WitnessBoard

__all__ = [
    "Air",
    "Base",
    "Batch",
    "Board",
    "BoardStay",
    "Change",
    "Database",
    "Event",
    "Log",
    "Meter",
    "Place",
    "PlaceMonth",
    "Reading",
    "Record",
    "Round",
    "Stack",
    "StackStay",
    "WitnessBoard",
    "YardEffect",
    "history",
]
