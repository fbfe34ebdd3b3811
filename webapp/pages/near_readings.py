"""A board's readings near in time to a new one, against which a slip of the finger shows."""

from __future__ import annotations

import math
from datetime import timedelta
from typing import TYPE_CHECKING

from webapp.records.reading import readings_of

if TYPE_CHECKING:
    from datetime import date

    from sqlalchemy.orm import Session

    from webapp.records.board import Board
    from webapp.records.witness_board import WitnessBoard

NEAR = timedelta(days=60)


def near_readings(
    session: Session, board: Board | WitnessBoard, day: date
) -> tuple[float, float] | None:
    """Give the lowest and highest reading near a day; infinite where it was over range."""
    near = [
        reading for reading in readings_of(session, board) if abs(reading.read_on - day) <= NEAR
    ]
    shown = [math.inf if reading.over else reading.value for reading in near]
    values = [value for value in shown if value is not None]
    return (min(values), max(values)) if values else None
