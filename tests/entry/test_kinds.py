from enum import StrEnum

import pytest

from webapp.entry import kinds
from webapp.entry.fields import Unreadable
from webapp.records.meter import MeterKind, MeterScale, MeterTemperature
from webapp.records.place import AirOf, PlaceKind
from webapp.records.reading import Depth


@pytest.mark.parametrize("text", ["white oak", "White Oak", "WHITE-OAK", "Quercus alba"])
def test_a_species_by_any_of_its_names(text: str) -> None:
    assert kinds.species(text) == "white oak"


def test_an_ambiguous_species_is_refused_with_the_choices() -> None:
    with pytest.raises(Unreadable, match=r"may mean several: write one of .*white oak"):
        kinds.species("oak")


def test_an_unknown_species_is_refused_with_what_is_near() -> None:
    with pytest.raises(Unreadable, match=r"“wite oak” is not in the species table.*white oak"):
        kinds.species("wite oak")
    with pytest.raises(Unreadable, match="“xyzzy” is not in the species table"):
        kinds.species("xyzzy")


@pytest.mark.parametrize(
    ("words", "kept"),
    [
        (kinds.PLACE_KINDS, PlaceKind),
        (kinds.AIR_OF, AirOf),
        (kinds.METER_KINDS, MeterKind),
        (kinds.METER_SCALES, MeterScale),
        (kinds.METER_TEMPERATURES, MeterTemperature),
        (kinds.DEPTHS, Depth),
    ],
)
def test_entry_and_records_speak_the_same_words(
    words: tuple[str, ...], kept: type[StrEnum]
) -> None:
    assert words == tuple(kept)
