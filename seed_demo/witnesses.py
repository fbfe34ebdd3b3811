"""The witness boards: long-dry offcuts that lie beside the stacks and are read with them."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from seed_demo.drying_years import Array, DryingYears
from seed_demo.invented_drying import Lumber, Surroundings, dry
from seed_demo.meters import NEW_PINS, meter_called, shown
from seed_demo.places import CELLAR, LOFT, SHED, STORE
from seed_demo.readings_taken import SMALLEST_SD_PCT
from seed_demo.visits import Visit
from webapp.wood.species_table import species_named

SEED = 67
DRY_PCT = 13.0


@dataclass(frozen=True)
class Witness:
    """An offcut and the stack whose rounds it is read on."""

    mark: str
    place: str
    species: str
    thickness_mm: float
    read_with: str
    dry_for_years: int
    note: str


WITNESSES = (
    Witness("W loft", LOFT, "black cherry", 28, "A", 6, "from the old teacher's desk"),
    Witness("W shed", SHED, "white ash", 28, "D", 9, "a ladder rail, sawn off"),
    Witness("W cellar", CELLAR, "white oak", 28, "L", 5, "a stair nosing"),
    Witness("W store", STORE, "American sycamore", 34, "M", 12, "a drawer front"),
)


@dataclass(frozen=True)
class WitnessRead:
    """What a witness board showed on a round."""

    board: str
    read_on: date
    text: str
    person: str


def read_witness(
    witness: Witness, visits: Sequence[Visit], years: DryingYears
) -> Iterator[WitnessRead]:
    """Give what was read of a witness board while its stack stood at the same place."""
    chance = np.random.default_rng([SEED, *map(ord, witness.mark)])
    moisture_pct = _moisture(witness, years)
    for visit in visits:
        if visit.place == witness.place:
            felt_pct = moisture_pct[years.column(visit.ago)]
            felt_pct += SMALLEST_SD_PCT * chance.standard_normal()
            text = shown(meter_called(NEW_PINS), float(felt_pct), 0.0, witness.species)
            yield WitnessRead(witness.mark, years.day(visit.ago), text, visit.person)


def _moisture(witness: Witness, years: DryingYears) -> Array:
    air = years.air[witness.place]
    lumber = Lumber(
        np.array([witness.thickness_mm]),
        np.array([species_named(witness.species).basic_density]),
        np.array([DRY_PCT]),
        np.array([0]),
    )
    still = np.ones_like(air.temperature_c)
    around = (air.equilibrium_pct, air.temperature_c, still, 0.0 * still)
    moisture_pct = dry(lumber, Surroundings(*(values[None, :] for values in around)))
    return np.asarray(moisture_pct[0])
