"""The kinds of value the yard knows: limits and words of each, said once for forms and files."""

from functools import partial

from webapp.entry.dates import day, day_text, moment, moment_text
from webapp.entry.fields import (
    Kind,
    Unreadable,
    choice,
    line,
    mark,
    note,
    number,
    number_text,
    percent,
    uid,
    whole_number,
    yes_or_no,
    yes_or_no_text,
)
from webapp.entry.reading_text import same_reading, shown_reading
from webapp.wood.species_table import AmbiguousSpecies, UnknownSpecies, species_named

PLACE_KINDS = ("open_shed", "outdoors", "unheated", "heated", "chamber")
AIR_OF = ("place", "station")
STOOD_AS = ("live", "standing dead", "lay")
KEPT_AS = ("on stickers", "racked", "solid-piled", "wrapped")
GRAINS = ("flat", "quarter", "mixed")
METER_KINDS = ("pin", "pinless")
METER_SCALES = ("as_shown", "douglas_fir")
METER_TEMPERATURES = ("compensated", "not_compensated")
DEPTHS = ("shell", "quarter", "core", "mean")
SPOTS = ("face", "edge", "end", "nails", "pulled out")
NEEDLE_LIMITS_MM = (1.0, 150.0)
THICKNESS_LIMITS_MM = (3.0, 600.0)
WIDTH_LIMITS_MM = (5.0, 3000.0)
LENGTH_LIMITS_MM = (30.0, 40000.0)
DIAMETER_LIMITS_MM = (20.0, 6000.0)
STICKERS_LIMITS_MM = (3.0, 150.0)
SPACING_LIMITS_MM = (50.0, 5000.0)
_CHOICES_SHOWN = 60


def _measure(low: float, high: float, unit: str) -> Kind:
    return Kind(partial(number, low=low, high=high, unit=unit), number_text)


def _percentage(low: float, high: float) -> Kind:
    return Kind(partial(percent, low=low, high=high), number_text)


def _count(low: int, high: int) -> Kind:
    return Kind(partial(whole_number, low=low, high=high), str)


def _word(choices: tuple[str, ...]) -> Kind:
    return Kind(partial(choice, choices=choices), str)


def species(text: str) -> str:
    """Read a species by common name, plain alias or botanical name; give the common name."""
    plain = line(text)
    try:
        return species_named(plain).name
    except UnknownSpecies as unknown:
        sentence = f"expected a species; “{plain}” is not in the species table"
        raise Unreadable(sentence + _offer("near it are", unknown.choices)) from None
    except AmbiguousSpecies as ambiguous:
        sentence = f"expected one species; “{plain}” may mean several"
        raise Unreadable(sentence + _offer("write one of", ambiguous.choices)) from None


def _offer(words: str, choices: tuple[str, ...]) -> str:
    if not choices:
        return ""
    more = ", …" if len(choices) > _CHOICES_SHOWN else ""
    return f": {words} {', '.join(choices[:_CHOICES_SHOWN])}{more}"


UID = Kind(uid, str)
MARK = Kind(mark, str)
LINE = Kind(line, str)
NOTE = Kind(note, str)
DAY = Kind(day, day_text)
MOMENT = Kind(moment, moment_text)
YES_OR_NO = Kind(yes_or_no, yes_or_no_text)
SPECIES = Kind(species, str)
READING = Kind(shown_reading, lambda read: str(read.shown), same_reading)

PLACE_KIND = _word(PLACE_KINDS)
AIR_SOURCE = _word(AIR_OF)
STOOD = _word(STOOD_AS)
KEPT = _word(KEPT_AS)
GRAIN = _word(GRAINS)
METER_KIND = _word(METER_KINDS)
METER_SCALE = _word(METER_SCALES)
METER_TEMPERATURE = _word(METER_TEMPERATURES)
DEPTH = _word(DEPTHS)
SPOT = _word(SPOTS)

MONTH_TEMPERATURE_LIMITS_C = (-70.0, 60.0)
AIR_TEMPERATURE_LIMITS_C = (-70.0, 130.0)
MONTH_TEMPERATURE_C = _measure(*MONTH_TEMPERATURE_LIMITS_C, "degrees Celsius")
AIR_TEMPERATURE_C = _measure(*AIR_TEMPERATURE_LIMITS_C, "degrees Celsius")
WOOD_TEMPERATURE_LIMITS_C = (-70.0, 130.0)
WOOD_TEMPERATURE_C = _measure(*WOOD_TEMPERATURE_LIMITS_C, "degrees Celsius")
RH_PCT = _percentage(0, 100)
TARGET_PCT = _percentage(2, 60)
OVER_RANGE_PCT = _percentage(10, 250)
UNDER_RANGE_PCT = _percentage(0, 30)
NEEDLE_MM = _measure(*NEEDLE_LIMITS_MM, "millimetres")
THICKNESS_MM = _measure(*THICKNESS_LIMITS_MM, "millimetres")
WIDTH_MM = _measure(*WIDTH_LIMITS_MM, "millimetres")
LENGTH_MM = _measure(*LENGTH_LIMITS_MM, "millimetres")
DIAMETER_MM = _measure(*DIAMETER_LIMITS_MM, "millimetres")
STICKERS_MM = _measure(*STICKERS_LIMITS_MM, "millimetres")
SPACING_MM = _measure(*SPACING_LIMITS_MM, "millimetres")
BOARD_COUNT = _count(0, 1_000_000)
VISIT_DAYS = _count(1, 730)
HIT = _count(1, 99)
