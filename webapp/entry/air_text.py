"""Own records of the air as pasted lines or a logger's file: when, temperature, humidity.

Between the parts stand tabs, semicolons, commas or blanks, whichever a line has. A line of column
names may stand on top; then the columns come in any order and others are left out, and told.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from webapp.entry import kinds
from webapp.entry.air_columns import AirColumns, columns_named
from webapp.entry.air_moments import DayOrder, air_moment, is_time
from webapp.entry.fields import Unreadable
from webapp.entry.line_parts import parts_of
from webapp.entry.temperatures import Scale, temperature_c

if TYPE_CHECKING:
    from datetime import date, datetime

MOST_LINES = 50_000
_MOST_REFUSALS = 200
_EXPECTED = "expected a time, a temperature and a humidity, such as 2024-05-01 12:00; 14.5; 71"
_PARTS = 3


@dataclass(frozen=True)
class MeasuredAir:
    """The air once measured, and the line it stood on."""

    line: int
    at: datetime
    temperature_c: float
    rh_pct: float


@dataclass
class AirText:
    """What a text holds: measurements, the lines that cannot be taken, and columns left out."""

    measured: list[MeasuredAir] = field(default_factory=list)
    refusals: list[tuple[int, str]] = field(default_factory=list)
    left_out: tuple[str, ...] = ()


def read_air(text: str, *, bare: Scale, order: DayOrder, place: str, latest: date) -> AirText:
    """Read every line of a text; `latest` is the last day that can have been measured.

    A bare temperature is in `bare`, unless the head of its column names a scale. A column that
    names places must name this one.
    """
    found = AirText()
    columns: AirColumns | None = None
    begun = False
    lines = text.lstrip("\ufeff").splitlines()
    if len(lines) > MOST_LINES:
        found.refusals.append(
            (MOST_LINES + 1, f"expected at most {MOST_LINES} lines: send it in several parts.")
        )
        return found
    for number, line in enumerate(lines, start=1):
        if not line.strip() or line.casefold().startswith("sep="):
            continue
        if not begun:
            begun = True
            columns = columns_named(line)
            if columns is not None:
                found.left_out = columns.left_out
                continue
        try:
            found.measured.append(
                _measured(number, line, columns, bare=bare, order=order, place=place, latest=latest)
            )
        except Unreadable as error:
            found.refusals.append((number, _sentence(error)))
            if len(found.refusals) >= _MOST_REFUSALS:
                break
    return found


def _measured(
    number: int,
    line: str,
    columns: AirColumns | None,
    *,
    bare: Scale,
    order: DayOrder,
    place: str,
    latest: date,
) -> MeasuredAir:
    if columns is None:
        when, temperature, humidity = _three_parts(line)
    else:
        when, temperature, humidity = columns.take(line, place)
        bare = columns.scale or bare
    at = air_moment(when, order)
    if at.date() > latest:
        raise Unreadable(f"expected a day that has come; found {at.date()}")
    return MeasuredAir(
        line=number,
        at=at,
        temperature_c=temperature_c(temperature, *kinds.AIR_TEMPERATURE_LIMITS_C, bare),
        rh_pct=kinds.RH_PCT.read(humidity),
    )


def _sentence(error: Unreadable) -> str:
    said = str(error)
    return said if said.endswith("?") else f"{said}."


def _three_parts(line: str) -> list[str]:
    parts = parts_of(line)
    if len(parts) == _PARTS + 1 and is_time(parts[1]):
        parts = [f"{parts[0]} {parts[1]}", *parts[2:]]
    if len(parts) != _PARTS:
        raise Unreadable(f"{_EXPECTED}; found “{line.strip()[:60]}”")
    return parts
