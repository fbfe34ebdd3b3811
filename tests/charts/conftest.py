"""A picture of an invented stack: two boards, one moved indoors, one witness board."""

from datetime import date

import numpy as np
import pytest

from webapp.yard.picture_stack import PictureReading, StackPicture

AS_OF = date(2025, 3, 12)
DAYS = np.arange(np.datetime64("2024-05-01"), np.datetime64("2026-08-01"), np.timedelta64(4, "D"))


def curve(start_pct: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Fall from a start towards 14 %, with a range that opens."""
    age = (DAYS - DAYS[0]).astype(float)
    mean = 14.0 + (start_pct - 14.0) * np.exp(-age / 120.0)
    doubt = 0.5 + age / 400.0
    return mean, mean - doubt, mean + doubt


def reading(board: str, on: date, shown: str, pct: float, **said: bool) -> PictureReading:
    """Make a reading that is neither over nor under range nor doubtful unless it is said."""
    plain = {"over": False, "under": False, "doubtful": False}
    return PictureReading(board, on, shown, pct, **plain | said)


@pytest.fixture
def picture() -> StackPicture:
    """The picture."""
    return StackPicture(
        days=DAYS,
        curves={"W1": curve(60.0), "W2": curve(45.0)},
        equilibrium=np.full(len(DAYS), 13.5),
        readings=[
            reading("W1", date(2024, 6, 3), ">30", 30.0, over=True),
            reading("W1", date(2024, 9, 2), "24.5", 25.25),
            reading("W2", date(2024, 9, 2), "11.0", 11.0, doubtful=True),
            reading("W2", date(2024, 10, 7), "<6", 6.0, under=True),
        ],
        target_pct=12.0,
        moves=[(date(2024, 11, 2), "heated store")],
        witness=[(date(2024, 9, 2), 13.0), (date(2024, 10, 7), 13.4)],
        as_of=AS_OF,
    )
