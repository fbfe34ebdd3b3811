"""A small yard for pages and browsers: one stack in a long shed, read on six rounds."""

from dataclasses import dataclass
from datetime import UTC, date, datetime

from tests import make
from webapp.records import Board, Database, Stack
from webapp.records.batch import open_batch

TODAY = date(2025, 3, 10)
NOW = datetime(2025, 3, 10, 9, 30, tzinfo=UTC)
ROUNDS = (
    (date(2024, 6, 3), 29.5),
    (date(2024, 7, 1), 25.5),
    (date(2024, 8, 5), 21.5),
    (date(2024, 9, 2), 19.0),
    (date(2024, 10, 7), 18.0),
    (date(2025, 2, 3), 17.5),
)


@dataclass(frozen=True)
class Shed:
    """One stack of four boards: three read on every round, the last never."""

    stack: Stack
    boards: tuple[Board, ...]


def make_shed(database: Database) -> Shed:
    """Write the yard down."""
    with database.writing() as session:
        open_batch(session, "form", "keeper", make.A_MOMENT)
        place = make.make_place(session, name="Long shed")
        stack = make.make_stack(session, place, mark="Oak <1>", target_pct=16.0)
        meter = make.make_meter(session, name="yellow pins", over_range_pct=30.0)
        boards = tuple(
            make.make_board(
                session,
                stack,
                mark=f"W{number}",
                width_mm=180.0,
                length_mm=2400.0,
                sawn_on=make.A_DAY,
            )
            for number in range(1, 5)
        )
        for board in boards[:3]:
            for read_on, value in ROUNDS:
                make.make_reading(
                    session, board, read_on=read_on, shown=str(value), value=value, meter=meter
                )
    return Shed(stack, boards)
