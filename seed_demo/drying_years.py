"""What every invented board holds on every day, from the air of its places and its troubles."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from seed_demo.invented_drying import Lumber, Surroundings, dry
from seed_demo.sawn_boards import SawnBoard
from seed_demo.weather import Air, air_of_places

Array = NDArray[np.float64]

LONGEST_AGO = 730
OLD_BEFORE_AGO = LONGEST_AGO + 400


@dataclass(frozen=True)
class DryingYears:
    """Moisture at the pins [boards, days] and the air of the places, from a first day to today."""

    first: date
    today: date
    air: Mapping[str, Air]
    at_pins_pct: Mapping[str, Array]

    def column(self, ago: int) -> int:
        """Where a day so long ago stands."""
        return (self.today - self.first).days - ago

    def day(self, ago: int) -> date:
        """Bring the date of a day so long ago."""
        return self.today - timedelta(days=ago)


def live_through(boards: Sequence[SawnBoard], today: date) -> DryingYears:
    """Let all boards dry until today."""
    first = today - timedelta(days=OLD_BEFORE_AGO)
    air = air_of_places(first, today)
    around = [_around(board, air) for board in boards]
    surface, temperature, airflow, drip = (np.stack(rows) for rows in zip(*around, strict=True))
    lumber = Lumber(
        np.array([board.story.thickness_mm for board in boards]),
        np.array([board.density for board in boards]),
        np.array([board.start_pct for board in boards]),
        np.array([OLD_BEFORE_AGO - board.story.stacked_ago for board in boards]),
    )
    moisture = dry(lumber, Surroundings(surface, temperature, airflow, drip))
    marks = [board.mark for board in boards]
    return DryingYears(first, today, air, dict(zip(marks, moisture, strict=True)))


def _around(board: SawnBoard, air: Mapping[str, Air]) -> tuple[Array, Array, Array, Array]:
    """Give equilibrium at a board's surface, temperature, air flow and drip, day by day."""
    story = board.story
    ago = np.arange(OLD_BEFORE_AGO, -1, -1)
    here = air[story.place]
    surface, temperature = here.equilibrium_pct + board.damper_pct, here.temperature_c
    if story.moved_to is not None:
        there, moved = air[story.moved_to], ago < story.moved_ago
        surface = np.where(moved, there.equilibrium_pct + board.damper_pct, surface)
        temperature = np.where(moved, there.temperature_c, temperature)
    airflow, drip = np.full(len(ago), board.airflow), np.zeros(len(ago))
    if story.trouble is not None:
        troubled = ago < story.trouble.since_ago
        airflow = np.where(troubled, airflow * story.trouble.airflow, airflow)
        drip = np.where(troubled, board.drip_pct, drip)
    return surface, temperature, airflow, drip
