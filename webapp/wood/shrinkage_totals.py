"""Radial and tangential shrinkage to work with for any species of the table."""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import TYPE_CHECKING

from webapp.wood.moisture import FIBRE_SATURATION_PCT
from webapp.wood.species_table import all_species

if TYPE_CHECKING:
    from webapp.wood.species_table import Species

EARLY_FIBRE_SATURATION_PCT = 22.0
"""Fibre saturation that alone reproduces Table 13-5 of FPL-GTR-190 for three genera, percent."""

_EARLY_GENERA = ("Sequoia", "Thuja")  # redwood, western redcedar, northern white cedar


@dataclass(frozen=True)
class TotalShrinkage:
    """Green to oven-dry in percent of the green size, and where the figures come from."""

    radial_pct: float
    tangential_pct: float
    fibre_saturation_pct: float
    provenance: str
    seen: bool


@functools.cache
def total_shrinkage(species: Species) -> TotalShrinkage:
    """Give a species' total shrinkage, or that of its kin where its own is not known.

    Parameters
    ----------
    species : Species
        A row of the species table.

    Returns
    -------
    TotalShrinkage
        Radial and tangential shrinkage in percent of the green size and the fibre saturation to
        use with them; own figures, else the mean of the genus in the table, else of all its
        hardwoods or softwoods, as ``provenance`` says.

    References
    ----------
    .. [1] Forest Products Laboratory 2010, Wood Handbook, FPL-GTR-190, ch. 4, Table 4-3, and
       Hoadley 1998 (Getty Conservation Institute), Table 1, as carried in species.csv row by row.
    .. [2] FPL-GTR-190, ch. 13, Table 13-5 (30 % fibre saturation; only about 22 % reproduces its
       coefficients for redwood, western redcedar and northern white cedar).
    """
    saturation = (
        EARLY_FIBRE_SATURATION_PCT if species.genus in _EARLY_GENERA else FIBRE_SATURATION_PCT
    )
    for kin, called in _kin_of(species):
        pairs = [pair for one in kin if (pair := _pair_of(one))]
        if pairs:
            return TotalShrinkage(
                radial_pct=sum(radial for radial, _ in pairs) / len(pairs),
                tangential_pct=sum(tangential for _, tangential in pairs) / len(pairs),
                fibre_saturation_pct=saturation,
                provenance=called,
                seen=all(one.shrink_seen == "seen" for one in kin if _pair_of(one)),
            )
    raise ValueError(f"the species table holds no shrinkage for any {species.group}")


def _kin_of(species: Species) -> tuple[tuple[list[Species], str], ...]:
    table = all_species()
    genus = [one for one in table if one.genus == species.genus]
    group = [one for one in table if one.group == species.group]
    return (
        ([species], species.shrink_source),
        (genus, f"mean of the genus {species.genus} in the species table"),
        (group, f"mean of all {species.group}s in the species table"),
    )


def _pair_of(species: Species) -> tuple[float, float] | None:
    if species.shrink_radial_pct is None or species.shrink_tangential_pct is None:
        return None
    return species.shrink_radial_pct, species.shrink_tangential_pct
