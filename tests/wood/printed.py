"""Reads the printed tables of tests/wood/published; each file opens with its source."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from webapp.wood.arrays import FloatArray

_FOLDER = Path(__file__).parent / "published"


def rows_of(name: str) -> list[dict[str, str]]:
    """Give the rows of one printed table as text, its heading lines of source left out."""
    lines = (_FOLDER / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def columns_of(name: str, *columns: str) -> list[FloatArray]:
    """Give columns of a printed table as numbers, NaN where the cell is empty."""
    rows = rows_of(name)
    return [np.array([float(row[column] or "nan") for row in rows]) for column in columns]


def examples_of(*topics: str) -> list[tuple[dict[str, str], dict[str, str]]]:
    """Give the worked examples of some topics, each with its inputs taken apart."""
    found = [row for row in rows_of("worked_examples.csv") if row["topic"] in topics]
    return [(row, _inputs_of(row["inputs"])) for row in found]


def _inputs_of(text: str) -> dict[str, str]:
    pairs = (part.split("=", 1) for part in text.split("; ") if "=" in part)
    return {name: value.split(" ")[0] for name, value in pairs}
