"""Who visited which stack when, and with which meter."""

from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta

import numpy as np

from seed_demo.drying_years import DryingYears
from seed_demo.places import LOFT
from seed_demo.stack_stories import Story
from seed_demo.weather import Air

SEED = 83
PEOPLE = ("Maren", "Idris", "Odile", "Bram")
KEEPER_TURN = 0.45
SKIPPED = 0.13
EARLIEST_AFTER_DAYS = 6
MINUTES_A_BOARD = 1.5


@dataclass(frozen=True)
class Visit:
    """One round at a stack; the air is the visitor's own reading of a hygrometer, or none."""

    story: Story
    ago: int
    started_at: datetime
    ended_at: datetime
    place: str
    temperature_c: float | None
    rh_pct: float | None
    person: str

    @property
    def mark(self) -> str:
        """The round's mark, which no other round has."""
        return f"{self.story.mark} {self.started_at.date()}"


def visits_to(story: Story, years: DryingYears) -> list[Visit]:
    """List the rounds at a stack, oldest first, always as many days ago."""
    chance = np.random.default_rng([SEED, ord(story.mark)])
    return [_visit(story, ago, years, chance) for ago in _days_ago(story, chance)]


def _days_ago(story: Story, chance: np.random.Generator) -> list[int]:
    found: list[int] = []
    ago = story.read_ago
    while ago <= story.stacked_ago - EARLIEST_AFTER_DAYS:
        late = len(found) < 3  # noqa: PLR2004 - the last rounds are never skipped
        if late or chance.random() > SKIPPED:
            found.append(ago)
        ago += story.every_days + int(chance.integers(-3, 4))
    return found[: story.rounds][::-1]


def _visit(story: Story, ago: int, years: DryingYears, chance: np.random.Generator) -> Visit:
    moved = story.moved_to is not None and ago < story.moved_ago
    place = story.moved_to if moved and story.moved_to else story.place
    started_at = datetime.combine(years.day(ago), time(13, 5), UTC)
    started_at += timedelta(minutes=int(chance.integers(0, 130)))
    minutes = int(3 + MINUTES_A_BOARD * story.boards + chance.integers(0, 6))
    keeper = chance.random() < KEEPER_TURN
    temperature_c, rh_pct = _hygrometer(place, years.air[place], years.column(ago), chance)
    return Visit(
        story=story,
        ago=ago,
        started_at=started_at,
        ended_at=started_at + timedelta(minutes=minutes),
        place=place,
        temperature_c=temperature_c,
        rh_pct=rh_pct,
        person=PEOPLE[0] if keeper else PEOPLE[int(chance.integers(1, len(PEOPLE)))],
    )


def _hygrometer(
    place: str, air: Air, column: int, chance: np.random.Generator
) -> tuple[float | None, float | None]:
    """Read the hygrometer in the early afternoon; there is none in the loft."""
    warmer_c, drier_pct = 2.0 * chance.random(), 6.0 * chance.random()
    if place == LOFT:
        return None, None
    temperature_c = float(air.temperature_c[column]) + warmer_c
    return round(temperature_c, 1), round(float(air.rh_pct[column]) - drier_pct)
