"""The yard's records as rows of the folder's files: values in the order of each file's columns."""

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from datetime import date
from itertools import islice
from typing import Any

from sqlalchemy import Executable, select
from sqlalchemy.orm import InstrumentedAttribute, Session

from webapp.entry import folder
from webapp.entry.folder import FileKind
from webapp.entry.reading_text import ShownReading
from webapp.records import (
    Air,
    Batch,
    Board,
    Log,
    Meter,
    Place,
    PlaceMonth,
    Reading,
    Round,
    Stack,
    WitnessBoard,
)
from webapp.yard.known_yard import KnownYard

Row = Sequence[Any]
_MANY = 500
_AT_ONCE = 20_000


def rows_of(
    session: Session, file: FileKind, known: KnownYard, marks: Collection[str] | None = None
) -> Iterable[Row]:
    """Give the rows of one file, of all its boards or only of those with these marks."""
    if file in (folder.READINGS, folder.WITNESS_READINGS):
        return _readings(session, file, marks)
    return _ROWS[file.name](session, known)


def texts_of(
    file: FileKind, rows: Iterable[Row], *, compare: bool = False
) -> Iterator[tuple[str, ...]]:
    """Write rows as an export does, or in the spelling in which equal values are equal."""
    coming = iter(rows)
    while some := list(islice(coming, _AT_ONCE)):
        columns: list[list[str]] = []
        for column, values in zip(file.columns, zip(*some, strict=True), strict=True):
            write = column.compare if compare else column.write
            written = {value: write(value) for value in set(values)}
            columns.append([written[value] for value in values])
        yield from zip(*columns, strict=True)


def _all(session: Session, wanted: Executable) -> list[Row]:
    return [tuple(row) for row in session.execute(wanted)]


def _places(session: Session, _known: KnownYard) -> list[Row]:
    months: dict[int, dict[int, tuple[float, float]]] = {}
    wanted = select(
        PlaceMonth.place_id, PlaceMonth.month, PlaceMonth.temperature_c, PlaceMonth.rh_pct
    ).where(PlaceMonth.live())
    for place_id, month, temperature_c, rh_pct in session.execute(wanted):
        months.setdefault(place_id, {})[month] = (temperature_c, rh_pct)
    places = session.execute(
        select(Place.id, Place.uid, Place.name, Place.kind, Place.air_of).where(Place.live())
    )
    rows: list[Row] = []
    for place_id, uid, name, kind, air_of in places:
        year = [months.get(place_id, {}).get(month, (None, None)) for month in folder.MONTHS]
        temperatures, humidities = zip(*year, strict=True)
        rows.append((uid, name, kind, *temperatures, *humidities, air_of))
    return rows


def _air(session: Session, _known: KnownYard) -> list[Row]:
    wanted = select(Air.uid, Place.name, Air.at, Air.temperature_c, Air.rh_pct)
    return _all(session, wanted.join(Air.place).where(Air.live(), Place.live()))


def _meters(session: Session, _known: KnownYard) -> list[Row]:
    wanted = select(
        Meter.uid,
        Meter.name,
        Meter.kind,
        Meter.scale,
        Meter.temperature,
        Meter.over_range_pct,
        Meter.under_range_pct,
        Meter.needle_mm,
        Meter.insulated,
    )
    return _all(session, wanted.where(Meter.live()))


def _logs(session: Session, _known: KnownYard) -> list[Row]:
    names = ("uid", "mark", *folder.LOGS.names[2:])
    return _all(session, select(*(getattr(Log, name) for name in names)).where(Log.live()))


def _stacks(session: Session, _known: KnownYard) -> list[Row]:
    names = ("uid", "mark", *folder.STACKS.names[2:])
    return _all(session, select(*(getattr(Stack, name) for name in names)).where(Stack.live()))


def _boards(session: Session, known: KnownYard) -> list[Row]:
    wanted = select(
        Board.uid,
        Board.mark,
        Board.species,
        Board.thickness_mm,
        Board.width_mm,
        Board.width_end_mm,
        Board.length_mm,
        Board.sawn_on,
        Board.grain,
        Log.mark,
        Board.turn,
        Board.target_pct,
        Board.borate,
    )
    rows: list[Row] = []
    for uid, mark, species, thickness_mm, *facts in session.execute(
        wanted.outerjoin(Board.log.and_(Log.live())).where(Board.live())
    ):
        stack, stacked_on, place = _first_stay(known, mark)
        rows.append((uid, mark, stack, species, thickness_mm, stacked_on, place, *facts))
    return rows


def _first_stay(known: KnownYard, board: str) -> tuple[str | None, date | None, str | None]:
    stays = known.board_stays.get(board)
    if not stays:
        return None, None, None
    stack = stays[0].where
    stands = known.stack_stays.get(stack) if stack is not None else None
    return stack, stays[0].from_on, stands[0].where if stands else None


def all_moves(known: KnownYard) -> list[Row]:
    """List every stay of every stack, the first ones too."""
    return [
        (stay.uid, stack, stay.from_on, stay.where)
        for stack, stays in known.stack_stays.items()
        for stay in stays
    ]


def _moves(_session: Session, known: KnownYard) -> list[Row]:
    begun = first_boards(known.board_stays.values())
    return [
        row
        for row in all_moves(known)
        if not (row[0] == known.stack_stays[row[1]][0].uid and row[2] == begun.get(row[1]))
    ]


def first_boards(board_stays: Iterable[Sequence[Any]]) -> dict[str | None, date]:
    """Tell for each stack the day on which the first board that began there was stacked."""
    begun: dict[str | None, date] = {}
    for stays in board_stays:
        first = stays[0]
        begun[first.where] = min(first.from_on, begun.get(first.where, first.from_on))
    return begun


def _board_moves(_session: Session, known: KnownYard) -> list[Row]:
    return [
        (stay.uid, board, stay.from_on, stay.where, stay.why)
        for board, stays in known.board_stays.items()
        for stay in stays[1:]
    ]


def _rounds(session: Session, _known: KnownYard) -> list[Row]:
    wanted = select(
        Round.uid,
        Round.mark,
        Stack.mark,
        Round.started_at,
        Round.ended_at,
        Round.temperature_c,
        Round.rh_pct,
        Round.person,
    )
    return _all(session, wanted.join(Round.stack).where(Round.live(), Stack.live()))


def _witness_boards(session: Session, _known: KnownYard) -> list[Row]:
    wanted = select(
        WitnessBoard.uid,
        WitnessBoard.mark,
        Place.name,
        WitnessBoard.species,
        WitnessBoard.thickness_mm,
        WitnessBoard.known_dry_since,
        WitnessBoard.note,
    )
    return _all(session, wanted.join(WitnessBoard.place).where(WitnessBoard.live(), Place.live()))


def _readings(session: Session, file: FileKind, marks: Collection[str] | None) -> Iterator[Row]:
    subject: type[Board | WitnessBoard] = Board if file is folder.READINGS else WitnessBoard
    wanted = select(
        Reading.uid,
        subject.mark,
        Reading.read_on,
        Reading.read_at,
        Meter.name,
        Reading.wood_temperature_c,
        Reading.depth,
        Reading.spot,
        Reading.hit,
        Round.mark,
        Reading.note,
        Reading.read_by,
        Reading.struck_on,
        Reading.struck_why,
        Reading.struck_at,
        Reading.shown,
        Reading.value,
        Reading.over,
        Reading.under,
    )
    wanted = wanted.join(Reading.board if subject is Board else Reading.witness_board)
    wanted = wanted.outerjoin(Reading.meter.and_(Meter.live()))
    wanted = wanted.outerjoin(Reading.round.and_(Round.live())).where(subject.live())
    # A struck reading is told; one whose writing was undone never was.
    wanted = wanted.join(Reading.batch).where(Batch.undone_at.is_(None))
    if marks is not None and len(marks) <= _MANY:
        wanted = wanted.where(_among(subject.mark, marks))
    seen: dict[Row, ShownReading] = {}
    coming = session.execute(wanted, execution_options={"yield_per": _AT_ONCE})
    return (_reading_row(row, seen) for row in coming)


def _among(mark: InstrumentedAttribute[str], marks: Collection[str]) -> Any:  # noqa: ANN401 - SQLAlchemy's own
    return mark.in_(sorted(marks))


def _reading_row(row: Row, seen: dict[Row, ShownReading]) -> Row:
    uid, board, read_on, *facts, struck_on, struck_why, struck_at, shown, value, over, under = row
    if struck_at is not None and struck_on is None:
        struck_on = struck_at.date()
    # One object for equal readings: a yard of a million would else need much memory.
    read = seen.get((shown, value, over, under))
    if read is None:
        read = ShownReading(shown, value, over=over, under=under)
        seen[shown, value, over, under] = read
    return (uid, board, read_on, read, *facts, struck_on, struck_why)


_ROWS: dict[str, Callable[[Session, KnownYard], list[Row]]] = {
    folder.PLACES.name: _places,
    folder.AIR.name: _air,
    folder.METERS.name: _meters,
    folder.LOGS.name: _logs,
    folder.STACKS.name: _stacks,
    folder.BOARDS.name: _boards,
    folder.MOVES.name: _moves,
    folder.BOARD_MOVES.name: _board_moves,
    folder.ROUNDS.name: _rounds,
    folder.WITNESS_BOARDS.name: _witness_boards,
}
