"""Readings as a board's page lists them: from what the meter showed to what it means."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from webapp import sizes, wording
from webapp.entry.temperatures import temperature_text
from webapp.yard.explain_readings import explain_readings

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import date
    from uuid import UUID

    from sqlalchemy.orm import Session

    from webapp.look import Dates, Look, Units
    from webapp.records.board import Board
    from webapp.records.reading import Reading
    from webapp.records.witness_board import WitnessBoard
    from webapp.yard.explain_readings import ExplainedReading

_ = wording.translation.gettext


@dataclass(frozen=True)
class ReadingLine:
    """One reading in words."""

    uid: UUID
    on: date
    shown: str
    corrected: str
    rule: str
    struck: str
    sources: tuple[str, ...]


def reading_lines(session: Session, board: Board | WitnessBoard, look: Look) -> list[ReadingLine]:
    """List all readings of a board, newest first."""
    return [_line(explained, look) for explained in reversed(explain_readings(session, board))]


def _line(explained: ExplainedReading, look: Look) -> ReadingLine:
    reading = explained.reading
    return ReadingLine(
        uid=reading.uid,
        on=reading.read_on,
        shown=reading.shown,
        corrected=_corrected(explained),
        rule="; ".join([*_steps(explained, look.units), *_circumstances(reading)]),
        sources=tuple(_sources(explained)),
        struck=_struck(reading, look.dates),
    )


def _corrected(explained: ExplainedReading) -> str:
    if not math.isfinite(explained.corrected_pct):
        return ""
    said = wording.reading_percent(explained.corrected_pct)
    if explained.reading.over:
        return _("over %s") % said
    return _("under %s") % said if explained.reading.under else said


def _steps(explained: ExplainedReading, units: Units) -> list[str]:
    """Name each step from the shown number to the corrected one."""
    reading, steps = explained.reading, []
    if reading.meter is None:
        return [_("meter not noted, so taken as it stands")]
    if explained.temperature_unknown:
        steps.append(_("wood temperature not noted, so not corrected for it"))
    if explained.temperature_points and reading.wood_temperature_c is not None:
        wood = temperature_text(reading.wood_temperature_c, units)
        steps.append(
            _("wood at %(wood)s: %(points)s")
            % {"wood": wood, "points": _signed(explained.temperature_points)}
        )
    if explained.species_unknown:
        steps.append(_("no figures for this wood, so not corrected for it"))
    if explained.species_points:
        said = _("species: %s") % _signed(explained.species_points)
        steps.append(said + (_(", typical, unverified") if explained.remembered else ""))
    if not steps:
        steps.append(_("as the meter shows it"))
    if not explained.decides_alone:
        steps.append(_("at an edge or end, so it never decides alone"))
    return steps


def _sources(explained: ExplainedReading) -> Iterator[str]:
    """Name where the figures of each step stand, and those that could not be looked up."""
    if explained.temperature_source:
        yield _("Temperature: %s.") % explained.temperature_source
    if explained.species_source:
        said = _("Species: %s.") % explained.species_source
        if explained.remembered:
            said += " " + _("Remembered: the printed figures were not at hand to check it.")
        yield said


def _circumstances(reading: Reading) -> list[str]:
    """Say with what and by whom it was read, as far as noted."""
    said = [reading.meter.name if reading.meter else None, reading.spot, reading.depth]
    said += [_("read by %s") % reading.read_by if reading.read_by else None, reading.note]
    return [word for word in said if word]


def _struck(reading: Reading, dates: Dates) -> str:
    if reading.is_live:
        return ""
    day = reading.struck_on or (reading.struck_at.date() if reading.struck_at else None)
    on = sizes.day_words(day, dates) if day else ""
    return _("Struck out on %(day)s: %(why)s") % {"day": on, "why": reading.struck_why or ""}


def _signed(points: float) -> str:
    return f"{points:+.1f}".replace("-", "\u2212")
