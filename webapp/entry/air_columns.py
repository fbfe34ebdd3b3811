"""The columns of a logger's file, told by the names in its first line."""

from __future__ import annotations

import re
from dataclasses import dataclass

from webapp.entry.fields import Unreadable
from webapp.entry.line_parts import cells_of, separator_of
from webapp.entry.temperatures import Scale
from webapp.wood.words import words_of

_WHEN = re.compile(r"(?:at|when|date|day|time|timestamp|datetime|date time.*|time stamp|datum)")
_CLOCK = re.compile(r"time(?: of day)?")
_TEMPERATURE = re.compile(
    r"(?:air )?(?:temp|temperature|celsius|fahrenheit)\b.*|(?:t )?(?:deg)?[cf]"
)
_HUMIDITY = re.compile(r"(?:rh|humidity|hum|relative humidity|rel humidity)\b.*")
_FAHRENHEIT = re.compile(r".*\b(?:f|fahrenheit|degf)")
_CELSIUS = re.compile(r".*\b(?:c|celsius|degc)")


@dataclass(frozen=True)
class AirColumns:
    """Where the parts stand in a line of `count` cells, and the scale the head names."""

    separator: str
    count: int
    when: tuple[int, ...]
    temperature: int
    humidity: int
    place: int | None
    scale: Scale | None
    left_out: tuple[str, ...]

    def take(self, line: str, place: str) -> tuple[str, str, str]:
        """Take time, temperature and humidity from a line; raises Unreadable."""
        cells = cells_of(line, self.separator)
        if len(cells) != self.count:
            raise Unreadable(f"expected {self.count} cells, as on top; found {len(cells)}")
        if self.place is not None and cells[self.place] != place:
            raise Unreadable(f"this is the air of “{cells[self.place][:60]}”, not of “{place}”")
        return (
            " ".join(cells[at] for at in self.when),
            cells[self.temperature],
            cells[self.humidity],
        )


def columns_named(line: str) -> AirColumns | None:
    """Read a first line as column names; None where it does not name all that is needed."""
    separator = separator_of(line)
    try:
        names = cells_of(line, separator)
    except Unreadable:
        return None
    plain = [" ".join(words_of(name.replace("_", " ").replace("°", " "))) for name in names]
    when = [at for at, name in enumerate(plain) if _WHEN.fullmatch(name)]
    temperature = [at for at, name in enumerate(plain) if _TEMPERATURE.fullmatch(name)]
    humidity = [at for at, name in enumerate(plain) if _HUMIDITY.fullmatch(name)]
    if not when or len(temperature) != 1 or len(humidity) != 1:
        return None
    places = [at for at, name in enumerate(plain) if name == "place"]
    used = {*when[:2], *temperature, *humidity, *places[:1]}
    return AirColumns(
        separator=separator,
        count=len(names),
        when=_day_and_clock(plain, when),
        temperature=temperature[0],
        humidity=humidity[0],
        place=places[0] if places else None,
        scale=_scale(plain[temperature[0]]),
        left_out=tuple(name for at, name in enumerate(names) if at not in used and name),
    )


def _day_and_clock(plain: list[str], when: list[int]) -> tuple[int, ...]:
    """One column, or a day and a time of day beside it."""
    first, *more = when
    if more and _CLOCK.fullmatch(plain[more[0]]) and not _CLOCK.fullmatch(plain[first]):
        return first, more[0]
    return (first,)


def _scale(name: str) -> Scale | None:
    if _FAHRENHEIT.fullmatch(name):
        return Scale.F
    return Scale.C if _CELSIUS.fullmatch(name) else None
