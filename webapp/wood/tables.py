"""Reads the CSV tables that lie beside the modules of this package."""

from __future__ import annotations

import csv
from importlib import resources


def rows_of(file_name: str) -> list[dict[str, str]]:
    """Give the rows of a table of this package as text by column; units are in the headings.

    The source of each row stands in its ``source`` columns.
    """
    table = resources.files("webapp.wood").joinpath(file_name)
    return list(csv.DictReader(table.read_text(encoding="utf-8").splitlines()))
