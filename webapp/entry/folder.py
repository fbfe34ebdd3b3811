"""The files of a yard's folder: their columns, which are needed, how each is read and written."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from webapp.entry import kinds
from webapp.entry.fields import Kind, guard, unguard, unreadable

MONTHS = range(1, 13)
TEMPERATURE_COLUMNS = tuple(f"temp_{month:02d}" for month in MONTHS)
RH_COLUMNS = tuple(f"rh_{month:02d}" for month in MONTHS)
_TYPED = (kinds.MARK, kinds.LINE, kinds.NOTE)


@dataclass(frozen=True)
class Column:
    """One column of a file: its name, the kind of its values, and what an empty cell means."""

    name: str
    kind: Kind
    needed: bool = False
    may_be_empty: bool = True
    default: object = None

    def read(self, cell: str) -> object:
        """Read a cell; raises Unreadable."""
        text = cell.strip()
        if not text:
            if self.may_be_empty:
                return self.default
            raise unreadable("a value", "")
        return self.kind.read(unguard(text) if self.kind in _TYPED else text)

    def write(self, value: object) -> str:
        """Write a cell as an export holds it."""
        return self._written(value, self.kind.write)

    def compare(self, value: object) -> str:
        """Write a cell so that two spellings of one value are alike."""
        return self._written(value, self.kind.alike or self.kind.write)

    def _written(self, value: object, write: Callable[[Any], str]) -> str:
        if value is None:
            return ""
        return guard(write(value)) if self.kind in _TYPED else write(value)


@dataclass(frozen=True)
class FileKind:
    """One file of the folder; `mark` names the column by which its rows are told apart."""

    name: str
    columns: tuple[Column, ...]
    order: tuple[str, ...]
    mark: str | None = None

    @property
    def names(self) -> tuple[str, ...]:
        """The columns' names, in the order they are written."""
        return tuple(column.name for column in self.columns)

    def column(self, name: str) -> Column:
        """Bring one column."""
        return next(column for column in self.columns if column.name == name)


def _needed(name: str, kind: Kind, *, may_be_empty: bool = False) -> Column:
    return Column(name, kind, needed=True, may_be_empty=may_be_empty)


_ID = Column("id", kinds.UID)
_WHAT_WAS_READ = (
    _needed("board", kinds.MARK),
    _needed("read_on", kinds.DAY),
    _needed("reading", kinds.READING),
    Column("read_at", kinds.MOMENT),
    Column("meter", kinds.MARK),
    Column("temperature_c", kinds.WOOD_TEMPERATURE_C),
    Column("depth", kinds.DEPTH),
    Column("spot", kinds.SPOT),
    Column("hit", kinds.HIT),
    Column("round", kinds.LINE),
    Column("note", kinds.NOTE),
    Column("by", kinds.LINE),
    Column("struck_on", kinds.DAY),
    Column("struck_why", kinds.LINE),
)
_READING_ORDER = ("read_on", "board", "read_at", "spot", "hit")

PLACES = FileKind(
    "places.csv",
    (
        _ID,
        _needed("place", kinds.MARK),
        _needed("kind", kinds.PLACE_KIND),
        *(_needed(name, kinds.MONTH_TEMPERATURE_C) for name in TEMPERATURE_COLUMNS),
        *(_needed(name, kinds.RH_PCT) for name in RH_COLUMNS),
        Column("air_of", kinds.AIR_SOURCE, default="place"),
    ),
    order=("place",),
    mark="place",
)
AIR = FileKind(
    "air.csv",
    (
        _ID,
        _needed("place", kinds.MARK),
        _needed("at", kinds.MOMENT),
        _needed("temperature_c", kinds.AIR_TEMPERATURE_C),
        _needed("rh_pct", kinds.RH_PCT),
    ),
    order=("place", "at"),
)
LOGS = FileKind(
    "logs.csv",
    (
        _ID,
        _needed("log", kinds.MARK),
        _needed("species", kinds.SPECIES),
        Column("stood_at", kinds.LINE),
        Column("stood_as", kinds.STOOD),
        Column("felled_on", kinds.DAY),
        Column("sawn_on", kinds.DAY),
        Column("length_mm", kinds.LENGTH_MM),
        Column("diameter_mm", kinds.DIAMETER_MM),
        Column("ends_sealed_on", kinds.DAY),
        Column("bark_off_on", kinds.DAY),
        Column("insects", kinds.NOTE),
        Column("metal", kinds.NOTE),
        Column("decision", kinds.NOTE),
        Column("note", kinds.NOTE),
    ),
    order=("log",),
    mark="log",
)
STACKS = FileKind(
    "stacks.csv",
    (
        _ID,
        _needed("stack", kinds.MARK),
        Column("name", kinds.LINE),
        Column("stickers_mm", kinds.STICKERS_MM),
        Column("spacing_mm", kinds.SPACING_MM),
        Column("kept_as", kinds.KEPT),
        Column("held_by", kinds.LINE),
        Column("board_count", kinds.BOARD_COUNT),
        Column("target_pct", kinds.TARGET_PCT),
        Column("use", kinds.LINE),
        Column("visit_days", kinds.VISIT_DAYS),
        Column("note", kinds.NOTE),
    ),
    order=("stack",),
    mark="stack",
)
BOARDS = FileKind(
    "boards.csv",
    (
        _ID,
        _needed("board", kinds.MARK),
        _needed("stack", kinds.MARK),
        _needed("species", kinds.SPECIES),
        _needed("thickness_mm", kinds.THICKNESS_MM),
        _needed("stacked_on", kinds.DAY),
        _needed("place", kinds.MARK),
        Column("width_mm", kinds.WIDTH_MM),
        Column("width_end_mm", kinds.WIDTH_MM),
        Column("length_mm", kinds.LENGTH_MM),
        Column("sawn_on", kinds.DAY),
        Column("grain", kinds.GRAIN),
        Column("log", kinds.MARK),
        Column("turn", kinds.LINE),
        Column("target_pct", kinds.TARGET_PCT),
        Column("borate", kinds.LINE),
    ),
    order=("board",),
    mark="board",
)
MOVES = FileKind(
    "moves.csv",
    (
        _ID,
        _needed("stack", kinds.MARK),
        _needed("moved_on", kinds.DAY),
        _needed("place", kinds.MARK),
    ),
    order=("stack", "moved_on"),
)
BOARD_MOVES = FileKind(
    "board_moves.csv",
    (
        _ID,
        _needed("board", kinds.MARK),
        _needed("moved_on", kinds.DAY),
        _needed("stack", kinds.MARK, may_be_empty=True),
        Column("why", kinds.LINE),
    ),
    order=("board", "moved_on"),
)
METERS = FileKind(
    "meters.csv",
    (
        _ID,
        _needed("meter", kinds.MARK),
        _needed("kind", kinds.METER_KIND),
        _needed("scale", kinds.METER_SCALE),
        _needed("temperature", kinds.METER_TEMPERATURE),
        Column("over_range_pct", kinds.OVER_RANGE_PCT),
        Column("under_range_pct", kinds.UNDER_RANGE_PCT),
        Column("needle_mm", kinds.NEEDLE_MM),
        Column("insulated", kinds.YES_OR_NO),
    ),
    order=("meter",),
    mark="meter",
)
ROUNDS = FileKind(
    "rounds.csv",
    (
        _ID,
        _needed("round", kinds.LINE),
        _needed("stack", kinds.MARK),
        _needed("started_at", kinds.MOMENT),
        Column("ended_at", kinds.MOMENT),
        Column("temperature_c", kinds.AIR_TEMPERATURE_C),
        Column("rh_pct", kinds.RH_PCT),
        Column("person", kinds.LINE),
    ),
    order=("started_at", "stack", "round"),
    mark="round",
)
READINGS = FileKind("readings.csv", (_ID, *_WHAT_WAS_READ), order=_READING_ORDER)
WITNESS_BOARDS = FileKind(
    "witness_boards.csv",
    (
        _ID,
        _needed("board", kinds.MARK),
        _needed("place", kinds.MARK),
        _needed("species", kinds.SPECIES),
        _needed("thickness_mm", kinds.THICKNESS_MM),
        Column("known_dry_since", kinds.DAY),
        Column("note", kinds.NOTE),
    ),
    order=("board",),
    mark="board",
)
WITNESS_READINGS = FileKind("witness_readings.csv", (_ID, *_WHAT_WAS_READ), order=_READING_ORDER)

# In this order a file names only what the files before it hold.
FILES = (
    PLACES,
    AIR,
    METERS,
    LOGS,
    STACKS,
    BOARDS,
    MOVES,
    BOARD_MOVES,
    ROUNDS,
    READINGS,
    WITNESS_BOARDS,
    WITNESS_READINGS,
)
FILE_NAMES = tuple(file.name for file in FILES)
