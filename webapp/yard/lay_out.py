"""From records to what the model reads: boards by stack, their stays, the air, the readings."""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
from sqlalchemy import select

from webapp.drying.air import MONTHS, PlaceAir
from webapp.drying.fit import MODEL_VERSION
from webapp.drying.stacks import Boards, Readings, Stays
from webapp.problems import Refused
from webapp.records.board import Board, BoardStay
from webapp.records.place import Air, Place, PlaceMonth
from webapp.records.reading import Reading
from webapp.records.stack import Stack, StackStay
from webapp.wood.green_moisture import green_moisture_pct
from webapp.wood.species_table import species_named
from webapp.yard.air_there import air_there
from webapp.yard.correct_readings import corrected, one_by_hits, readings_frame

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from sqlalchemy.orm import Session

    from webapp.drying.arrays import Array


EPOCH = date(1970, 1, 1)
_RUNS = re.compile(r"[0-9]+|[^0-9]+")
# How far the start moisture of one board may lie from its species' mean, as a logarithm:
# heart or sap, the tree, the weeks between sawing and stacking.
GREEN_LOG_SD = 0.4


@dataclass(frozen=True)
class Layout:
    """A yard on one day, ready for the model.

    ``table`` has a row a board in the model's order: board and stack keys and marks,
    species; ``frame`` a row a reading in the model's order, as shown and corrected;
    ``places`` the places' keys in the model's order; ``causes`` which place and meters
    bear on each stack; ``fingerprint`` tells whether anything changed.
    """

    boards: Boards
    readings: Readings
    places: tuple[int, ...]
    air: tuple[PlaceAir, ...]
    causes: Array
    table: pd.DataFrame
    frame: pd.DataFrame
    fingerprint: str


def as_counted(mark: str) -> list[tuple[bool, int, str]]:
    """Make the key that puts marks in the order people count: W2 before W10."""
    runs = _RUNS.findall(mark)
    return [(False, int(run), "") if run.isdecimal() else (True, 0, run) for run in runs]


def day_number(day: date) -> float:
    """Count a date in days since 1970-01-01."""
    return float((day - EPOCH).days)


def date_of(day: float) -> date | None:
    """Give the date of a day number; none for NaN and infinity."""
    return EPOCH + timedelta(days=round(day)) if np.isfinite(day) else None


def _segments(session: Session, as_of: date) -> pd.DataFrame:
    """Where every board lay and when: its stays in stacks crossed with the stacks' stays."""
    mine = select(
        BoardStay.board_id, BoardStay.stack_id, BoardStay.from_on, BoardStay.until_on
    ).where(BoardStay.live(), BoardStay.stack_id.is_not(None), BoardStay.from_on <= as_of)
    theirs = select(
        StackStay.stack_id, StackStay.place_id, StackStay.from_on, StackStay.until_on
    ).where(StackStay.live(), StackStay.from_on <= as_of)
    columns = ["from_day", "until_day"]
    boards = pd.DataFrame(session.execute(mine).all(), columns=["board_id", "stack_id", *columns])
    stacks = pd.DataFrame(session.execute(theirs).all(), columns=["stack_id", "place_id", *columns])
    for frame in (boards, stacks):
        frame["from_day"] = _days(frame["from_day"])
        frame["until_day"] = np.nan_to_num(_days(frame["until_day"]), nan=np.inf)
    joined = boards.merge(stacks, on="stack_id", suffixes=("", "_of_stack"))
    joined["from_day"] = joined[["from_day", "from_day_of_stack"]].max(axis=1)
    joined["until_day"] = joined[["until_day", "until_day_of_stack"]].min(axis=1)
    lies = joined["from_day"] < joined["until_day"]
    return joined[lies].sort_values(["board_id", "from_day"], ignore_index=True)


def _days(dates: pd.Series) -> Array:
    """Turn a column of dates into day numbers, NaN where there is none."""
    days = pd.to_datetime(dates).to_numpy(dtype="datetime64[D]")
    return np.where(np.isnat(days), np.nan, days.astype(float))


def _board_table(session: Session, segments: pd.DataFrame, as_of: date) -> pd.DataFrame:
    """The boards that lie in a stack on the day, by stack, with their facts."""
    today = day_number(as_of)
    lying = segments[segments["until_day"] > today]
    lying = lying.drop_duplicates("board_id", keep="last")[["board_id", "stack_id"]]
    wanted = select(
        Board.id, Board.mark, Board.species, Board.thickness_mm, Board.target_pct
    ).where(Board.live())
    boards = pd.DataFrame(
        session.execute(wanted).all(),
        columns=["board_id", "board", "species", "thickness_mm", "target_pct"],
    )
    named = select(Stack.id, Stack.mark, Stack.target_pct).where(Stack.live())
    stacks = pd.DataFrame(
        session.execute(named).all(), columns=["stack_id", "stack", "stack_target_pct"]
    )
    table = lying.merge(boards, on="board_id").merge(stacks, on="stack_id")
    own, shared = table["target_pct"].astype(float), table["stack_target_pct"].astype(float)
    table["target_pct"] = own.fillna(shared)
    # A stack's boards lie side by side for the model, so W1 and W01 may not count as the same.
    marks = list(zip(table["stack"], table["board"], strict=True))
    keys = [(as_counted(stack), stack, as_counted(board), board) for stack, board in marks]
    table = table.iloc[sorted(range(len(keys)), key=keys.__getitem__)].reset_index(drop=True)
    table["group"] = pd.factorize(table["stack_id"])[0]
    return table


def _stays(table: pd.DataFrame, segments: pd.DataFrame, places: dict[int, int]) -> Stays:
    """The stays of the table's boards as padded arrays."""
    row = pd.Series(table.index, index=table["board_id"])
    mine = segments[segments["board_id"].isin(row.index)]
    turn = mine.groupby("board_id").cumcount().to_numpy()
    width = int(turn.max()) + 1 if len(turn) else 1
    from_day = np.full((len(table), width), np.inf)
    place = np.zeros((len(table), width), dtype=np.intp)
    at = mine["board_id"].map(row).to_numpy(dtype=np.intp)
    from_day[at, turn] = mine["from_day"]
    place[at, turn] = mine["place_id"].map(places).to_numpy(dtype=np.intp)
    last = np.isfinite(from_day).sum(axis=1) - 1
    beyond = np.arange(width)[None, :] > last[:, None]
    lasts = place[np.arange(len(table)), np.maximum(last, 0)]
    return Stays(from_day, np.where(beyond, lasts[:, None], place))


def _wood(table: pd.DataFrame) -> tuple[Array, Array]:
    """Basic density and expected green moisture of each board."""
    kinds = {name: species_named(name) for name in table["species"].unique()}
    density = {name: kind.basic_density for name, kind in kinds.items()}
    green = {name: green_moisture_pct(kind).mean_pct for name, kind in kinds.items()}
    names = table["species"]
    return names.map(density).to_numpy(float), names.map(green).to_numpy(float)


def _place_air(session: Session, as_of: date) -> tuple[tuple[int, ...], tuple[PlaceAir, ...]]:
    """The air of every live place."""
    places = session.scalars(select(Place).where(Place.live()).order_by(Place.id)).all()
    wanted = select(
        PlaceMonth.place_id, PlaceMonth.month, PlaceMonth.temperature_c, PlaceMonth.rh_pct
    ).where(PlaceMonth.live())
    months = pd.DataFrame(
        session.execute(wanted).all(), columns=["place_id", "month", "temperature_c", "rh_pct"]
    )
    kept = select(Air.place_id, Air.at, Air.temperature_c, Air.rh_pct).where(
        Air.live(), Air.place_id.is_not(None)
    )
    kept = kept.order_by(Air.at, Air.id)
    records = pd.DataFrame(
        session.execute(kept).all(), columns=["place_id", "at", "temperature_c", "rh_pct"]
    )
    day = pd.to_datetime(records["at"], utc=True).dt.tz_localize(None)
    records["day"] = day.to_numpy(dtype="datetime64[s]").astype(float) / 86_400.0
    records = records[records["day"] < day_number(as_of) + 1.0]
    air = tuple(_air_of(place, months, records) for place in places)
    return tuple(place.id for place in places), air


def _air_of(place: Place, months: pd.DataFrame, records: pd.DataFrame) -> PlaceAir:
    """The monthly means and own records of one place."""
    own = months[months["place_id"] == place.id].sort_values("month")
    if len(own) != MONTHS:
        raise Refused(f"“{place.name}” has the air of {len(own)} months; all twelve are needed.")
    temperature, humidity = own["temperature_c"].to_numpy(float), own["rh_pct"].to_numpy(float)
    temperature, humidity = air_there(place.kind, place.air_of, temperature, humidity)
    seen = records[records["place_id"] == place.id]
    return PlaceAir(
        np.asarray(temperature),
        np.asarray(humidity),
        seen["day"].to_numpy(float),
        seen["temperature_c"].to_numpy(float),
        seen["rh_pct"].to_numpy(float),
    )


def _readings(session: Session, table: pd.DataFrame, as_of: date) -> pd.DataFrame:
    """The corrected readings of the table's boards until the day, by board and day."""
    frame = readings_frame(session, of=Reading.board_id.is_not(None))
    row = pd.Series(table.index, index=table["board_id"])
    known = frame["board_id"].isin(row.index) & (frame["read_on"] <= np.datetime64(as_of, "s"))
    frame = frame[known].reset_index(drop=True)
    frame["row"] = frame["board_id"].map(row).astype(np.intp)
    species = table["species"].reindex(frame["row"]).reset_index(drop=True)
    frame = one_by_hits(corrected(frame, species))
    return frame.sort_values(["row", "read_on", "reading_id"], ignore_index=True)


def _causes(table: pd.DataFrame, stays: Stays, frame: pd.DataFrame, places: int) -> Array:
    """Which place's and which meters' biases bear on each stack [stacks, places + meters]."""
    stacks = int(table["group"].max()) + 1 if len(table) else 0
    meters, names = pd.factorize(frame["meter_id"].fillna(-1))
    causes = np.zeros((stacks, places + max(len(names), 1)))
    group = table["group"].to_numpy(dtype=np.intp)
    causes[group, stays.place[:, 0]] = 1.0
    of_reading = group[frame["row"].to_numpy(dtype=np.intp)]
    np.add.at(causes, (of_reading, places + meters), 1.0)
    shares = causes[:, places:]
    shares /= np.maximum(shares.sum(axis=1, keepdims=True), 1.0)
    return causes


def _fingerprint(parts: list[NDArray[np.generic]], as_of: date) -> str:
    """A digest of everything a judgement hangs on."""
    digest = hashlib.sha256(f"{MODEL_VERSION} {as_of}".encode())
    for part in parts:
        digest.update(str(part.shape).encode() + np.ascontiguousarray(part).tobytes())
    return digest.hexdigest()


def lay_out(session: Session, as_of: date) -> Layout:
    """Lay out the whole yard as it was known on a day.

    Raises Refused where a place has fewer than twelve months.
    """
    places, air = _place_air(session, as_of)
    segments = _segments(session, as_of)
    table = _board_table(session, segments, as_of)
    stays = _stays(table, segments, {key: n for n, key in enumerate(places)})
    frame = _readings(session, table, as_of)
    density, green = _wood(table)
    boards = Boards(
        table["group"].to_numpy(dtype=np.intp),
        table["thickness_mm"].to_numpy(float),
        density,
        green,
        np.full(len(table), GREEN_LOG_SD),
        table["target_pct"].to_numpy(float),
        stays,
    )
    readings = Readings(
        frame["row"].to_numpy(dtype=np.intp),
        frame["read_on"].to_numpy(dtype="datetime64[D]").astype(float),
        frame["value_pct"].to_numpy(float),
        frame["over"].to_numpy(dtype=bool),
        frame["under"].to_numpy(dtype=bool),
        frame["extra_sd"].to_numpy(float),
    )
    causes = _causes(table, stays, frame, len(places))
    parts = [
        *vars(boards.stays).values(),
        *(part for name, part in vars(boards).items() if name != "stays"),
        *vars(readings).values(),
        *(part for place in air for part in vars(place).values()),
        causes,
        table["board_id"].to_numpy(float),
    ]
    print_ = _fingerprint(parts, as_of)
    return Layout(boards, readings, places, air, causes, table, frame, print_)
