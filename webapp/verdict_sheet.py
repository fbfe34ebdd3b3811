"""Verdicts as rows: for a spreadsheet, for a program, or for reading on a terminal."""

from __future__ import annotations

import csv
import io
import json
import math
from typing import TYPE_CHECKING

from webapp import wording

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date

    from webapp.yard.judge_stack import BoardVerdict, StackVerdict

Row = dict[str, str | float | None]

BOARD_COLUMNS = (
    "stack",
    "board",
    "as_of",
    "state",
    "moisture_pct",
    "moisture_low",
    "moisture_high",
    "target_pct",
    "fit",
    "ready_on",
    "ready_from",
    "ready_to",
    "reason",
)
STACK_COLUMNS = (
    "stack",
    "as_of",
    "state",
    "boards",
    "boards_read",
    "boards_fit",
    "wettest_pct",
    "fit",
    "ready_on",
    "ready_from",
    "ready_to",
    "last_read_on",
    "troubled",
    "reason",
)
BOARD_TABLE = ("stack", "board", "as_of", "state", "moisture", "fit", "ready", "reason")
STACK_TABLE = ("stack", "as_of", "state", "boards", "wettest", "fit", "ready", "reason")


def board_row(said: BoardVerdict) -> Row:
    """Lay one board's verdict out under BOARD_COLUMNS."""
    verdict = said.verdict
    return {
        "stack": said.stack_mark,
        "board": said.board_mark,
        "as_of": said.as_of.isoformat(),
        "state": verdict.state.value,
        "moisture_pct": _hundredths(verdict.moisture_pct),
        "moisture_low": _hundredths(verdict.moisture_low),
        "moisture_high": _hundredths(verdict.moisture_high),
        "target_pct": said.target_pct,
        "fit": verdict.fit.value,
        "ready_on": _iso(wording.day_of(verdict.ready_on)),
        "ready_from": _iso(wording.day_of(verdict.ready_from)),
        "ready_to": _iso(wording.day_of(verdict.ready_to)),
        "reason": wording.reason_sentence(verdict.reason, verdict.numbers, said.as_of),
    }


def stack_row(said: StackVerdict) -> Row:
    """Lay one stack's verdict out under STACK_COLUMNS."""
    return {
        "stack": said.stack_mark,
        "as_of": said.as_of.isoformat(),
        "state": said.state.value,
        "boards": said.board_count,
        "boards_read": said.boards_read,
        "boards_fit": said.boards_fit,
        "wettest_pct": _hundredths(said.wettest),
        "fit": said.fit.value,
        "ready_on": _iso(said.ready_on),
        "ready_from": _iso(said.ready_from),
        "ready_to": _iso(said.ready_to),
        "last_read_on": _iso(said.last_read_on),
        "troubled": "; ".join(said.troubled),
        "reason": wording.reason_sentence(said.reason, said.numbers, said.as_of),
    }


def board_line(said: BoardVerdict) -> Row:
    """Say one board's verdict in words, under BOARD_TABLE."""
    verdict = said.verdict
    low, high = (wording.percent(value) for value in (verdict.moisture_low, verdict.moisture_high))
    from_on, to_on = (wording.day_of(day) for day in (verdict.ready_from, verdict.ready_to))
    return board_row(said) | {
        "state": wording.state_word(verdict.state),
        "moisture": f"{low} to {high}",
        "fit": wording.fit_words(verdict.fit, said.target_pct, None, verdict.moisture_pct),
        "ready": wording.ready_words(from_on, to_on, said.as_of),
    }


def stack_line(said: StackVerdict) -> Row:
    """Say one stack's verdict in words, under STACK_TABLE."""
    return stack_row(said) | {
        "state": wording.state_word(said.state),
        "wettest": wording.percent(said.wettest),
        "ready": wording.ready_words(said.ready_from, said.ready_to, said.as_of),
    }


def as_csv(columns: Sequence[str], rows: Iterable[Row]) -> str:
    """Write rows as a spreadsheet's text, one line a row."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows([_cell(row[column]) for column in columns] for row in rows)
    return text.getvalue()


def as_json(columns: Sequence[str], rows: Iterable[Row]) -> str:
    """Write rows as a list of objects; what is not known is null."""
    listed = [{column: row[column] for column in columns} for row in rows]
    return json.dumps(listed, ensure_ascii=False, indent=1) + "\n"


def as_table(columns: Sequence[str], rows: Iterable[Row]) -> str:
    """Set rows out in columns for a terminal."""
    cells = [[_cell(row[column]) for column in columns] for row in rows]
    titles = [column.replace("_", " ") for column in columns]
    widths = [max(map(len, column)) for column in zip(titles, *cells, strict=True)]
    rule = ["-" * width for width in widths]
    lines = ("  ".join(map(str.ljust, line, widths)).rstrip() for line in (titles, rule, *cells))
    return "".join(f"{line}\n" for line in lines)


def _hundredths(value: float) -> float | None:
    return round(value, 2) if math.isfinite(value) else None


def _iso(day: date | None) -> str | None:
    return None if day is None else day.isoformat()


def _cell(value: str | float | None) -> str:
    if value is None:
        return ""
    return value if isinstance(value, str) else f"{value:.10g}"
