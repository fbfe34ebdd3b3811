"""Weather stations as the pages offer them: found near a place, and as the start of its form."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from webapp import wording
from webapp.entry.folder import RH_COLUMNS, TEMPERATURE_COLUMNS
from webapp.problems import NotFound
from webapp.wood.climate import Station, all_stations, countries, station_of
from webapp.wood.station_search import Found, find_stations

_ = wording.translation.gettext
_LONGEST_SHOWN = 60


@dataclass(frozen=True)
class Near:
    """What a person typed to find a station, or the country picked from the list."""

    typed: str
    country: str

    @cached_property
    def found(self) -> Found:
        """Stations that fit what was typed; where none does, those of the country picked."""
        found = find_stations(self.typed)
        if found.stations or self.country not in countries():
            return found
        there = tuple(one for one in all_stations() if one.country == self.country)
        return Found(there, as_asked=not self.typed.strip(), country=self.country)

    @property
    def asked(self) -> bool:
        """Whether anything was asked for yet."""
        return bool(self.typed.strip() or self.country)

    @property
    def told(self) -> str:
        """What was typed, as long as it can be repeated in a sentence."""
        plain = self.typed.strip()
        return plain if len(plain) <= _LONGEST_SHOWN else f"{plain[:_LONGEST_SHOWN]}…"

    @property
    def stations(self) -> int:
        """How many stations there are."""
        return len(all_stations())

    @property
    def countries(self) -> tuple[str, ...]:
        """The countries that have a station."""
        return countries()


def station_facts(key: str) -> dict[str, object]:
    """Begin the form of a place with the months of a station; raises NotFound for a strange key."""
    facts: dict[str, object] = {"air_of": "station", "kind": "open_shed"}
    if not key:
        return facts
    station = station_of(key)
    if station is None:
        raise NotFound(_("There is no such weather station."))
    return facts | {"station": key} | _months(station)


def _months(station: Station) -> dict[str, object]:
    temperatures = station.temperature_c.round(1).tolist()
    humidities = station.rh_pct.tolist()
    return dict(zip(TEMPERATURE_COLUMNS, temperatures, strict=True)) | dict(
        zip(RH_COLUMNS, humidities, strict=True)
    )
