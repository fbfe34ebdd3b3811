"""The boards of each stack: their sizes, and what makes each of them its own."""

from dataclasses import dataclass

import numpy as np

from seed_demo.stack_stories import Story
from seed_demo.storm_logs import LOGS, StormLog
from webapp.wood.green_moisture import green_moisture_pct
from webapp.wood.species_table import species_named

SEED = 411
GREENER, DENSER, AIRIER, DAMPER_PCT = 0.12, 0.06, 0.15, 0.35
SPOT_SD_PCT = 0.3
NARROWEST_MM, TRIMMED_MM = 130.0, 60.0


@dataclass(frozen=True)
class SawnBoard:
    """A board as it was stacked, and what nobody sees: density, spot and what air reaches it."""

    mark: str
    story: Story
    log: StormLog | None
    turn: str | None
    width_mm: float
    width_end_mm: float | None
    length_mm: float
    density: float
    start_pct: float
    airflow: float
    damper_pct: float
    spot_pct: float
    drip_pct: float


def boards_of(story: Story) -> list[SawnBoard]:
    """Saw the boards of a stack, always the same."""
    chance = np.random.default_rng([SEED, ord(story.mark)])
    species = species_named(story.species)
    start_pct = story.start_pct or green_moisture_pct(species).mean_pct
    log = next((log for log in LOGS if log.number in story.logs), None)
    spread = GREENER if story.start_pct is None else 0.06
    boards = []
    for number in range(1, story.boards + 1):
        width, end = _widths(story, log, number, chance)
        boards.append(
            SawnBoard(
                mark=f"{story.mark}{number}",
                story=story,
                log=log,
                turn=None if story.counted or log is None else f"{number} of {story.boards}",
                width_mm=width,
                width_end_mm=end,
                length_mm=_length(log, chance),
                density=species.basic_density * _about_one(chance, DENSER),
                start_pct=start_pct * _about_one(chance, spread),
                airflow=_about_one(chance, AIRIER),
                damper_pct=DAMPER_PCT * float(chance.standard_normal()),
                spot_pct=SPOT_SD_PCT * float(chance.standard_normal()),
                drip_pct=_drip(story, number),
            )
        )
    return boards


def _about_one(chance: np.random.Generator, spread: float) -> float:
    return float(np.exp(spread * chance.standard_normal()))


def _drip(story: Story, number: int) -> float:
    """Give the water a day on a board, in points of moisture: the upper boards get more."""
    trouble = story.trouble
    if trouble is None or number > trouble.wet_boards:
        return 0.0
    return trouble.drip_pct * (1.0 - 0.5 * (number - 1) / trouble.wet_boards)


def _length(log: StormLog | None, chance: np.random.Generator) -> float:
    if log is None:
        return float(chance.integers(34, 48) * 50)
    return log.length_mm - TRIMMED_MM + float(chance.integers(-2, 3) * 10)


def _widths(
    story: Story, log: StormLog | None, number: int, chance: np.random.Generator
) -> tuple[float, float | None]:
    """Give the width, or the narrow and the wide end: the middle of the log is the widest."""
    if log is None:
        return float(chance.integers(26, 44) * 5), None
    radius = log.diameter_mm / 2.0
    turns = np.clip((number - 0.5) / story.boards, 0.0, 1.0)
    across = 2.0 * radius * float(np.sqrt(1.0 - (0.85 * (2.0 * turns - 1.0)) ** 2))
    if story.live_edge:
        narrow = max(across * 0.86 + float(chance.integers(-3, 4) * 5), NARROWEST_MM)
        return round(narrow / 5) * 5.0, round((narrow + 25 + chance.integers(0, 14) * 5) / 5) * 5.0
    edged = max(across * 0.62 + float(chance.integers(-4, 5) * 5), NARROWEST_MM)
    return round(edged / 5) * 5.0, None
