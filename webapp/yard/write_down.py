"""Write an import's new rows down, some thousand at once, each signed with the batch."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import UTC, date, datetime, time
from itertools import islice, pairwise
from typing import Any, cast

from sqlalchemy import insert
from sqlalchemy.orm import Session

from webapp.entry import folder
from webapp.entry.folder import FileKind
from webapp.records import (
    Air,
    Batch,
    Board,
    BoardStay,
    Log,
    Meter,
    Place,
    PlaceMonth,
    Reading,
    Record,
    Round,
    Stack,
    StackStay,
    WitnessBoard,
)
from webapp.records.label_code import fresh_codes
from webapp.records.record import new_uid
from webapp.yard.follow_stays import Chains
from webapp.yard.intake import Intake
from webapp.yard.known_yard import keys_by_mark

_AT_ONCE = 5_000
Values = dict[str, Any]


class Pen:
    """Writes rows of one batch, and tells how many."""

    def __init__(
        self, session: Session, batch: Batch, intake: Intake, progress: Callable[[int], None]
    ) -> None:
        self.session = session
        self.batch = batch
        self.intake = intake
        self.progress = progress

    def write(self, kind: type[Record], rows: Iterable[Values]) -> None:
        """Insert rows of a table; a row without an id gets one."""
        signed = self._signed(rows)
        connection = self.session.connection()
        while some := list(islice(signed, _AT_ONCE)):
            connection.execute(insert(kind.__table__), some)  # type: ignore[arg-type]
            self.progress(len(some))

    def _signed(self, rows: Iterable[Values]) -> Iterator[Values]:
        created_at, batch_id = self.batch.at, self.batch.id
        for row in rows:
            row["uid"] = row.get("uid") or new_uid()
            row["created_at"], row["batch_id"] = created_at, batch_id
            yield row


def write_down(pen: Pen, stacks: Chains, boards: Chains, meters: Sequence[str]) -> None:
    """Write everything new, in an order in which each row names only what is there."""
    _write_places(pen)
    _write_meters(pen, meters)
    _write_logs(pen)
    _write_stacks(pen)
    _write_boards(pen)
    known = pen.intake.known
    _write_stays(pen, StackStay, stacks, ("stack_id", known.stacks), ("place_id", known.places))
    _write_stays(pen, BoardStay, boards, ("board_id", known.boards), ("stack_id", known.stacks))
    _write_air(pen)
    _write_rounds(pen)
    _write_witness_boards(pen)
    _write_readings(pen, folder.READINGS, "board_id", known.boards)
    _write_readings(pen, folder.WITNESS_READINGS, "witness_board_id", known.witness_boards)


def _new(pen: Pen, file: FileKind) -> Iterator[Values]:
    for _row, values in pen.intake.records(file):
        values["uid"] = values.pop("id")
        yield values


def _write_places(pen: Pen) -> None:
    rows = list(_new(pen, folder.PLACES))
    if not rows:
        return
    pen.write(
        Place,
        (
            {"uid": row["uid"], "name": row["place"], "kind": row["kind"], "air_of": row["air_of"]}
            for row in rows
        ),
    )
    known = pen.intake.known
    known.places.update(keys_by_mark(pen.session, Place, Place.name))
    pen.write(PlaceMonth, (month for row in rows for month in _months(row, known.places)))


def _months(row: Values, places: dict[str, int]) -> Iterator[Values]:
    for month, temperature_c, rh_pct in zip(
        folder.MONTHS, folder.TEMPERATURE_COLUMNS, folder.RH_COLUMNS, strict=True
    ):
        yield {
            "place_id": places[row["place"]],
            "month": month,
            "temperature_c": row[temperature_c],
            "rh_pct": row[rh_pct],
        }


def _write_meters(pen: Pen, unlisted: Sequence[str]) -> None:
    rows = [row | {"name": row["meter"]} for row in _new(pen, folder.METERS)]
    rows += [
        dict.fromkeys(folder.METERS.names)
        | {"name": name, "kind": "pin", "scale": "as_shown", "temperature": "compensated"}
        for name in unlisted
    ]
    pen.write(Meter, (_without(row, "meter", "id") for row in rows))
    pen.intake.known.meters.update(keys_by_mark(pen.session, Meter, Meter.name))


def _without(row: Values, *names: str) -> Values:
    return {name: value for name, value in row.items() if name not in names}


def _write_logs(pen: Pen) -> None:
    pen.write(Log, (_without(row, "log") | {"mark": row["log"]} for row in _new(pen, folder.LOGS)))
    pen.intake.known.logs.update(keys_by_mark(pen.session, Log, Log.mark))


def _write_stacks(pen: Pen) -> None:
    rows = list(_new(pen, folder.STACKS))
    listed = {row["stack"] for row in rows} | set(pen.intake.known.stacks)
    named = {board["stack"] for _row, board in pen.intake.records(folder.BOARDS)}
    empty = dict.fromkeys(name for name in folder.STACKS.names if name != "id")
    rows += [empty | {"stack": mark} for mark in sorted(named - listed)]
    if rows:
        codes = iter(fresh_codes(pen.session, Stack, len(rows)))
        pen.write(
            Stack,
            (_without(row, "stack") | {"mark": row["stack"], "code": next(codes)} for row in rows),
        )
        pen.intake.known.stacks.update(keys_by_mark(pen.session, Stack, Stack.mark))


def _write_boards(pen: Pen) -> None:
    rows = list(_new(pen, folder.BOARDS))
    if not rows:
        return
    logs = pen.intake.known.logs
    codes = iter(fresh_codes(pen.session, Board, len(rows)))
    outer = ("board", "stack", "stacked_on", "place", "log")
    pen.write(
        Board,
        (
            _without(row, *outer)
            | {"mark": row["board"], "code": next(codes), "log_id": logs.get(row["log"])}
            for row in rows
        ),
    )
    pen.intake.known.boards.update(keys_by_mark(pen.session, Board, Board.mark))


def _write_stays(
    pen: Pen,
    kind: type[StackStay | BoardStay],
    chains: Chains,
    owner: tuple[str, dict[str, int]],
    where: tuple[str, dict[str, int]],
) -> None:
    owner_key, owners = owner
    where_key, wheres = where
    rows: list[Values] = []
    for mark, chain in chains.items():
        for stay, following in pairwise([*chain, None]):
            if stay is None:
                continue
            until_on = following.on if following else None
            if stay.row_id is None:
                row = {
                    "uid": stay.uid,
                    owner_key: owners[mark],
                    where_key: None if stay.where is None else wheres[stay.where],
                    "from_on": stay.on,
                    "until_on": until_on,
                }
                rows.append(row | ({"why": stay.why} if kind is BoardStay else {}))
            elif following is not None and following.row_id is None:
                open_stay = pen.session.get_one(kind, stay.row_id)
                cast("StackStay | BoardStay", open_stay).until_on = until_on
    # A stay is closed before the next one of the same board or stack begins.
    pen.session.flush()
    pen.write(kind, rows)


def _write_air(pen: Pen) -> None:
    places = pen.intake.known.places
    pen.write(
        Air,
        (
            _without(row, "place") | {"place_id": places[row["place"]]}
            for row in _new(pen, folder.AIR)
        ),
    )


def _write_rounds(pen: Pen) -> None:
    known = pen.intake.known
    pen.write(
        Round,
        (
            _without(row, "round", "stack")
            | {"mark": row["round"], "stack_id": known.stacks[row["stack"]]}
            for row in _new(pen, folder.ROUNDS)
        ),
    )
    known.rounds.update(keys_by_mark(pen.session, Round, Round.mark))


def _write_witness_boards(pen: Pen) -> None:
    known = pen.intake.known
    pen.write(
        WitnessBoard,
        (
            _without(row, "board", "place")
            | {"mark": row["board"], "place_id": known.places[row["place"]]}
            for row in _new(pen, folder.WITNESS_BOARDS)
        ),
    )
    marks = keys_by_mark(pen.session, WitnessBoard, WitnessBoard.mark)
    known.witness_boards.update(marks)


def _write_readings(pen: Pen, file: FileKind, owner: str, owners: dict[str, int]) -> None:
    pen.write(Reading, _readings(pen, file, owner, owners))


def _readings(pen: Pen, file: FileKind, owner: str, owners: dict[str, int]) -> Iterator[Values]:
    rows = pen.intake.rows(file)
    if not rows:
        return
    meters, rounds = pen.intake.known.meters, pen.intake.known.rounds
    columns = [pen.intake.values(file, name) for name in file.names]
    cells = zip(*columns, strict=True)
    wanted = set(rows) if len(rows) < len(columns[0]) else None
    for row, values in enumerate(cells):
        if wanted is not None and row not in wanted:
            continue
        (
            uid,
            board,
            read_on,
            read,
            read_at,
            meter,
            temperature_c,
            depth,
            spot,
            hit,
            visit,
            note,
            by,
            struck_on,
            why,
        ) = values
        yield {
            "uid": uid,
            owner: owners[board],
            "round_id": None if visit is None else rounds[visit],
            "meter_id": None if meter is None else meters[meter],
            "read_on": read_on,
            "read_at": read_at,
            "shown": read.shown,
            "value": read.value,
            "over": read.over,
            "under": read.under,
            "wood_temperature_c": temperature_c,
            "depth": depth,
            "spot": spot,
            "hit": hit,
            "note": note,
            "read_by": by,
            "struck_on": struck_on,
            "struck_at": None if struck_on is None else _noon(struck_on),
            "struck_why": why,
        }


def _noon(day: date) -> datetime:
    return datetime.combine(day, time(12), UTC)
