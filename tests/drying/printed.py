"""Reads the published figures beside these tests; each file opens with its source."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np

from webapp.drying.air import PlaceAir

_FOLDER = Path(__file__).parent / "published"
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


def rows_of(name: str) -> list[dict[str, str]]:
    """Give the rows of one file as text, its heading lines of source left out."""
    lines = (_FOLDER / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def station(place: str) -> PlaceAir:
    """Give the outdoor air of one of the places, which is that of an open shed too."""
    found = {r["quantity"]: r for r in rows_of("station_months.csv") if r["place"] == place}
    temperature, humidity = (
        np.array([float(found[quantity][month]) for month in _MONTHS])
        for quantity in ("temp_mean", "rh_mean")
    )
    none = np.zeros(0)
    return PlaceAir(temperature, humidity, none, none, none)
