"""Moisture of wood as it comes off the saw, by species, with where the figure comes from."""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import TYPE_CHECKING

from webapp.wood.moisture import maximum_moisture_pct
from webapp.wood.species_table import all_species

if TYPE_CHECKING:
    from webapp.wood.species_table import Species


@dataclass(frozen=True)
class GreenMoisture:
    """Mean green moisture in percent, the range of its parts, and where it comes from."""

    mean_pct: float
    low_pct: float
    high_pct: float
    provenance: str
    seen: bool


@functools.cache
def green_moisture_pct(species: Species) -> GreenMoisture:
    """Give the likely moisture content of freshly sawn wood.

    The mean of heartwood and sapwood where both are known, else the one that is, else the mean
    of the genus in the table, else of all its hardwoods or softwoods. Never more than the wood
    can hold. One tree differs from another by a quarter of this and more; so does a log that
    lay long before it was sawn.

    Parameters
    ----------
    species : Species
        A row of the species table.

    Returns
    -------
    GreenMoisture
        Moisture contents in percent of oven-dry mass, with provenance; ``seen`` tells whether
        every figure behind it stood in a text that could be opened.

    References
    ----------
    .. [1] Forest Products Laboratory 2010, Wood Handbook, FPL-GTR-190, ch. 4, Table 4-1, as
       carried in species.csv row by row.
    """
    own = _own_figures(species)
    if own:
        seen = species.mc_green_seen == "seen"
        return _within(species, own, species.mc_green_source, seen=seen)
    for kin, called in _kin_of(species):
        if kin:
            every = [figure for one in kin for figure in _own_figures(one)]
            seen = all(one.mc_green_seen == "seen" for one in kin)
            return _within(species, every, f"mean of {called} in the species table", seen=seen)
    raise ValueError(f"the species table holds no green moisture for any {species.group}")


def _kin_of(species: Species) -> tuple[tuple[list[Species], str], ...]:
    known = [one for one in all_species() if None not in _both(one)]
    genus = [one for one in known if one.genus == species.genus]
    group = [one for one in known if one.group == species.group]
    return (genus, f"the genus {species.genus}"), (group, f"all {species.group}s")


def _own_figures(species: Species) -> list[float]:
    return [figure for figure in _both(species) if figure is not None]


def _both(species: Species) -> tuple[float | None, float | None]:
    return species.mc_green_heart_pct, species.mc_green_sap_pct


def _within(
    species: Species, figures: list[float], provenance: str, *, seen: bool
) -> GreenMoisture:
    full = float(maximum_moisture_pct(species.basic_density))
    return GreenMoisture(
        mean_pct=min(sum(figures) / len(figures), full),
        low_pct=min(*figures, full),
        high_pct=min(max(figures), full),
        provenance=provenance,
        seen=seen,
    )
