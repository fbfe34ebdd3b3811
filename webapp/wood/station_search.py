"""Which weather stations a person means who types a town, a region or a country."""

from __future__ import annotations

import difflib
import functools
from dataclasses import dataclass

from webapp.wood.climate import Station, all_stations, countries, other_names
from webapp.wood.words import words_of

# Nearer than this a name may be meant by a slip of the finger; short words look alike too easily.
_ALIKE = 0.78
_LONG_WORD = 6
_LONGEST_TYPED = 100


@dataclass(frozen=True)
class Found:
    """Stations that fit a text, best first.

    Not ``as_asked``: only their region, country or spelling comes near. ``country`` is set where
    they were found by their country alone.
    """

    stations: tuple[Station, ...]
    as_asked: bool
    country: str | None = None


def find_stations(text: str) -> Found:
    """Find stations by name, region or country, written anyhow: "portland or", "México", "UK".

    Case, accents and commas do not matter, and the beginning of a word is enough. A town that is
    not among them is found by the country or state that follows it ("Bristol, UK"), and a state
    without a station by its country; else names that look alike are given.

    Parameters
    ----------
    text : str
        What a person typed.

    Returns
    -------
    Found
        Stations, best first: the place of that name, then places that begin with it, then
        regions, then countries. Units (degC, percent) and sources as said at `all_stations`.

    Examples
    --------
    >>> [station.label for station in find_stations("portland").stations]
    ['Portland, Maine, USA', 'Portland, Oregon, USA']
    >>> find_stations("Bristol, England").country
    'United Kingdom'
    """
    asked = words_of(text[:_LONGEST_TYPED])
    fitting = _fitting(asked)
    if fitting:
        return Found(fitting, as_asked=True)
    for start in range(len(asked)):
        nearer = _in_region(asked[start:])
        if nearer:
            return Found(nearer, as_asked=False)
        country = _country_called(asked[start:])
        there = tuple(one for one in all_stations() if one.country == country)
        if there:
            return Found(there, as_asked=False, country=country)
    return Found(_alike(asked), as_asked=False)


def _fitting(asked: tuple[str, ...]) -> tuple[Station, ...]:
    """Stations in whose names every word asked for begins one, best first."""
    if not asked:
        return ()
    fits = [one for one in all_stations() if _holds(_all_words(one), asked)]
    return tuple(sorted(fits, key=lambda one: _rank(one, asked)))


def _holds(words: frozenset[str], asked: tuple[str, ...]) -> bool:
    return all(any(word.startswith(part) for word in words) for part in asked)


def _rank(one: Station, asked: tuple[str, ...]) -> int:
    """How well a station fits, the lowest best; equals keep the order of the table."""
    called = [words_of(name) for name in (one.place.split(" (")[0], *one.also_called)]
    if any(asked[: len(name)] == name for name in called):
        return 0
    if asked in map(words_of, (one.region, one.region_name, one.country, *_wider(one))):
        return 1
    if any(name[: len(asked)] == asked for name in called):
        return 2
    return 3 if _holds(frozenset(words_of(one.place)), asked[:1]) else 4


def _in_region(asked: tuple[str, ...]) -> tuple[Station, ...]:
    """Stations whose region is meant, by its name or letters."""
    named = ((one, (words_of(one.region), words_of(one.region_name))) for one in all_stations())
    return tuple(one for one, names in named if asked in names)


def _country_called(asked: tuple[str, ...]) -> str | None:
    """Country that bears a name, or in which a region of that name lies."""
    for country in countries():
        if words_of(country) == asked:
            return country
    for (country, region, place), names in other_names().items():
        if not place and asked in (*map(words_of, names), words_of(region)):
            return country
    return None


def _alike(asked: tuple[str, ...]) -> tuple[Station, ...]:
    """Stations whose name, or a longer word of it, looks like what was typed."""
    called: dict[str, Station] = {}
    for one in all_stations():
        for words in map(words_of, (one.place.split(" (")[0], *one.also_called)):
            called[" ".join(words)] = one
            called.update({word: one for word in words if len(word) >= _LONG_WORD})
    typed = " ".join(asked)
    near = difflib.get_close_matches(typed, called, n=6, cutoff=_ALIKE)
    return tuple(dict.fromkeys(called[name] for name in near))


@functools.cache
def _all_words(one: Station) -> frozenset[str]:
    names = (one.place, one.region, one.region_name, one.country, *one.also_called, *_wider(one))
    return frozenset(word for name in names for word in words_of(name))


def _wider(one: Station) -> tuple[str, ...]:
    """Other names of a station's country."""
    return other_names().get((one.country, "", ""), ())
