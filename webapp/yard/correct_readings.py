"""From readings as shown to moisture: temperature, species and hits, for many boards at once."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
from sqlalchemy import ColumnElement, select

from webapp.records.meter import Meter
from webapp.records.reading import Reading
from webapp.wood.meter_correction import correct

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

# At an edge or near an end wood is drier than the board, by nobody knows how much; such a
# reading never decides on its own.
SIDE_SPOTS = ("edge", "end")
SIDE_SPOT_SD_PCT = 3.0
# What an over or under range display means when neither it nor the meter says.
OVER_RANGE_PCT, UNDER_RANGE_PCT = 30.0, 6.0

_COLUMNS = {
    "reading_id": Reading.id,
    "board_id": Reading.board_id,
    "witness_id": Reading.witness_board_id,
    "read_on": Reading.read_on,
    "shown": Reading.shown,
    "value": Reading.value,
    "over": Reading.over,
    "under": Reading.under,
    "wood_c": Reading.wood_temperature_c,
    "spot": Reading.spot,
    "hit": Reading.hit,
    "round_id": Reading.round_id,
    "meter_id": Reading.meter_id,
    "meter_kind": Meter.kind,
    "scale": Meter.scale,
    "temperature": Meter.temperature,
    "over_limit": Meter.over_range_pct,
    "under_limit": Meter.under_range_pct,
}


def readings_frame(session: Session, of: ColumnElement[bool]) -> pd.DataFrame:
    """Bring the live readings of some boards with their meters' settings, as they were shown.

    By day, then by hit: an edited row must not change places with another.
    """
    wanted = select(*(column.label(name) for name, column in _COLUMNS.items()))
    wanted = wanted.outerjoin(Meter, Reading.meter_id == Meter.id).where(Reading.live(), of)
    wanted = wanted.order_by(Reading.read_on, Reading.hit, Reading.id)
    frame = pd.DataFrame(session.execute(wanted).all(), columns=list(_COLUMNS))
    frame["read_on"] = frame["read_on"].to_numpy(dtype="datetime64[D]")
    return frame


def corrected(frame: pd.DataFrame, species: pd.Series) -> pd.DataFrame:
    """Add moisture and doubt to readings.

    ``frame`` is of `readings_frame`, ``species`` the name of each row's wood. Adds
    ``value_pct`` (the corrected limit where over or under range) and ``extra_sd``. A meter
    that nobody described is taken as showing true, temperature allowed for.
    """
    limit = frame["over_limit"].astype(float).fillna(OVER_RANGE_PCT)
    floor = frame["under_limit"].astype(float).fillna(UNDER_RANGE_PCT)
    shown = frame["value"].astype(float)
    shown = shown.where(shown.notna() | ~frame["over"].astype(bool), limit)
    shown = shown.where(shown.notna() | ~frame["under"].astype(bool), floor)
    moisture = correct(
        shown.to_numpy(float),
        scale=frame["scale"].fillna("as_shown").to_numpy(dtype=np.str_),
        temperature_kind=frame["temperature"].fillna("compensated").to_numpy(dtype=np.str_),
        wood_temperature_c=frame["wood_c"].astype(float).to_numpy(),
        species=species.to_numpy(dtype=np.str_),
        kind=frame["meter_kind"].fillna("pin").to_numpy(dtype=np.str_),
    )
    side = frame["spot"].isin(SIDE_SPOTS).to_numpy(dtype=float) * SIDE_SPOT_SD_PCT
    return frame.assign(value_pct=moisture.moisture_pct, extra_sd=np.hypot(moisture.extra_sd, side))


def one_by_hits(frame: pd.DataFrame) -> pd.DataFrame:
    """Join the hits of one board at one spot in one round to one reading, their mean.

    Over or under range counts when at least half of the hits are; the others then stand
    for nothing, since a limit and a number have no mean.
    """
    numbered = frame["hit"].notna()
    if not numbered.any():
        return frame
    keys = ["board_id", "read_on", "round_id", "spot", "meter_id"]
    hits = frame[numbered]
    beyond = hits["over"].astype(bool) | hits["under"].astype(bool)
    whole = hits.assign(beyond=beyond).groupby(keys, dropna=False)["beyond"].transform("mean")
    hits = hits[beyond == (whole >= 0.5)]  # noqa: PLR2004  half of the hits
    joined = hits.groupby(keys, dropna=False, as_index=False).agg(
        {name: "first" for name in frame.columns if name not in {*keys, "value_pct", "shown"}}
        | {"value_pct": "mean", "shown": " ".join}
    )
    return pd.concat([frame[~numbered], joined[frame.columns]], ignore_index=True)
