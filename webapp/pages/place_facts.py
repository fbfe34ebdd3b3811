"""What the pages of places show: each place with its year, its stacks, its own air."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from webapp.entry.folder import RH_COLUMNS, TEMPERATURE_COLUMNS
from webapp.entry.place_form import KIND_WORDS
from webapp.pages.air_drawing import AirDrawing, air_drawing
from webapp.pages.place_year import PlaceYear, month_arrays, place_year
from webapp.records.place import air_log_of, live_places, months_of
from webapp.records.stack import stays_at
from webapp.records.witness_board import witness_boards_at

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from sqlalchemy.orm import Session

    from webapp.records.place import Place, PlaceMonth
    from webapp.records.record import Record
    from webapp.records.stack import Stack, StackStay
    from webapp.records.witness_board import WitnessBoard

KIND_WORD: Mapping[str, str] = dict(KIND_WORDS)


@dataclass(frozen=True)
class PlaceLine:
    """A place in the list: its stacks of today and its usual year."""

    place: Place
    kind: str
    stacks: list[Stack]
    year: PlaceYear


@dataclass(frozen=True)
class PlaceSheet:
    """A place on its own page."""

    line: PlaceLine
    months: Sequence[PlaceMonth]
    before: list[StackStay]
    witnesses: Sequence[WitnessBoard]
    air: AirDrawing | None


def place_lines(session: Session, today: date) -> list[PlaceLine]:
    """List the places with what stands there."""
    return [_line(session, place, today) for place in live_places(session)]


def place_sheet(session: Session, place: Place, today: date) -> PlaceSheet:
    """Gather everything about one place."""
    months = months_of(session, place)
    return PlaceSheet(
        line=_line(session, place, today),
        months=months,
        before=[
            stay
            for stay in reversed(stays_at(session, place))
            if stay.until_on is not None and stay.until_on <= today
        ],
        witnesses=witness_boards_at(session, place),
        air=air_drawing(place, months, air_log_of(session, place)),
    )


def form_facts(session: Session, place: Place) -> dict[str, object]:
    """Give what is kept of a place under the names of its form's fields."""
    columns = form_columns(session, place)
    return {name: getattr(record, column) for name, (record, column) in columns.items()}


def form_columns(session: Session, place: Place) -> dict[str, tuple[Record, str]]:
    """Tell which record and column is behind each field of a place's form."""
    fields: dict[str, tuple[Record, str]] = {
        "place": (place, "name"),
        "kind": (place, "kind"),
        "air_of": (place, "air_of"),
    }
    for month in months_of(session, place):
        fields[TEMPERATURE_COLUMNS[month.month - 1]] = (month, "temperature_c")
        fields[RH_COLUMNS[month.month - 1]] = (month, "rh_pct")
    return fields


def _line(session: Session, place: Place, today: date) -> PlaceLine:
    temperature_c, rh_pct = month_arrays(months_of(session, place))
    year = place_year(place.kind, place.air_of, temperature_c, rh_pct, today)
    stands = [
        stay.stack
        for stay in stays_at(session, place)
        if stay.from_on <= today and (stay.until_on is None or stay.until_on > today)
    ]
    return PlaceLine(place, KIND_WORD[place.kind], stands, year)
