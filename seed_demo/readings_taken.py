"""What the meters showed on all rounds, slips and all."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from seed_demo.drying_years import DryingYears
from seed_demo.meters import OLD_PINS, InventedMeter, meter_called, shown
from seed_demo.sawn_boards import SawnBoard
from seed_demo.stack_stories import LEFT
from seed_demo.visits import Visit

SEED = 5021
SMALLEST_SD_PCT, SD_GROWTH, EXACT_UP_TO_PCT = 0.4, 0.08, 12.0
HIT_SD_PCT = 0.35
NOT_REACHED = 0.03
READ_ONCE, SLIPPED, WRONG_BOARD = "C8", "A4", "E2"
WRONG_BOARD_VISIT = 7
WRONG_BOARD_SHOWN = "31.5"
NOTES = (
    "close to a knot",
    "sapwood edge",
    "rain blown in on the ends",
    "end check, as long as a hand",
    "battery low, read twice",
)
NOTED = 0.012


@dataclass(frozen=True)
class Taken:
    """One hit of a meter on a board."""

    board: str
    visit: Visit
    text: str
    wood_c: float | None
    hit: int | None
    note: str | None = None
    struck_why: str | None = None


def readings_of(board: SawnBoard, visits: Sequence[Visit], years: DryingYears) -> Iterator[Taken]:
    """Give what was read of a board, oldest first."""
    chance = np.random.default_rng([SEED, *map(ord, board.mark)])
    meter = meter_called(board.story.meter)
    left_ago, _why = LEFT.get(board.mark, (0, None))
    for number, visit in enumerate(visits):
        if visit.ago <= left_ago:
            return
        missed = chance.random() < NOT_REACHED
        taken = list(_hits(board, visit, meter, years, chance))
        last = number == len(visits) - 1
        if board.mark == READ_ONCE and not last:
            continue
        if board.mark == SLIPPED and last:
            yield _without_its_point(taken[0])
        elif board.mark == WRONG_BOARD and number == WRONG_BOARD_VISIT:
            yield _of_another_board(taken[0])
            yield from taken
        elif last or not missed:
            yield from taken


def _hits(
    board: SawnBoard,
    visit: Visit,
    meter: InventedMeter,
    years: DryingYears,
    chance: np.random.Generator,
) -> Iterator[Taken]:
    column = years.column(visit.ago)
    moisture_pct = float(years.at_pins_pct[board.mark][column])
    spread = SMALLEST_SD_PCT + SD_GROWTH * max(moisture_pct - EXACT_UP_TO_PCT, 0.0)
    felt_pct = moisture_pct + board.spot_pct + spread * float(chance.standard_normal())
    wood_c = round(float(years.air[visit.place].temperature_c[column]), 0)
    note = NOTES[int(chance.integers(len(NOTES)))] if chance.random() < NOTED else None
    hits = board.story.hits
    for hit in range(1, hits + 1):
        pushed_pct = felt_pct + (HIT_SD_PCT * float(chance.standard_normal()) if hits > 1 else 0.0)
        text = shown(meter, pushed_pct, wood_c, board.story.species)
        yield Taken(
            board=board.mark,
            visit=visit,
            text=text,
            wood_c=wood_c if meter.name == OLD_PINS else None,
            hit=hit if hits > 1 else None,
            note=note if hit == 1 else None,
        )


def _without_its_point(taken: Taken) -> Taken:
    return Taken(taken.board, taken.visit, taken.text.replace(".", ""), taken.wood_c, taken.hit)


def _of_another_board(taken: Taken) -> Taken:
    return Taken(
        taken.board,
        taken.visit,
        WRONG_BOARD_SHOWN,
        taken.wood_c,
        taken.hit,
        struck_why="read at D2 and typed here",
    )


def all_readings(
    boards: Sequence[SawnBoard], visits: Mapping[str, Sequence[Visit]], years: DryingYears
) -> list[Taken]:
    """Give what was read of all boards, by the mark of their stack's visits."""
    return [
        taken for board in boards for taken in readings_of(board, visits[board.story.mark], years)
    ]
