"""Species by name: density, shrinkage and green moisture, each figure with its source."""

from __future__ import annotations

import difflib
import functools
import re
from dataclasses import dataclass

from webapp.wood.tables import rows_of

# Wood Handbook FPL-GTR-282, Eq. 4-13: G_x = G_b / (1 - 0.265 G_b (1 - x / 30)).
_SWELLING = 0.265
_TWELVE = 1.0 - 12.0 / 30.0


class UnknownSpecies(ValueError):
    """No species of the table bears the name; `choices` are names that look like it."""

    def __init__(self, text: str, choices: tuple[str, ...]) -> None:
        """Keep the name asked for and the names offered instead."""
        self.text = text
        self.choices = choices
        offered = f"; did you mean {', '.join(choices)}?" if choices else ""
        super().__init__(f"no species is called {text!r}{offered}")


class AmbiguousSpecies(ValueError):
    """The name fits several species of the table; `choices` are all of them."""

    def __init__(self, text: str, choices: tuple[str, ...]) -> None:
        """Keep the name asked for and the species it may mean."""
        self.text = text
        self.choices = choices
        super().__init__(f"{text!r} may mean {', '.join(choices)}: say which")


@dataclass(frozen=True)
class Density:
    """Oven-dry mass over green volume, relative to water, and the rule it comes from."""

    value: float
    rule: str
    seen: bool


@dataclass(frozen=True)
class Species:
    """One wood of the table.

    Shrinkage is green to oven-dry in percent of the green size, specific gravity is oven-dry
    mass over the volume named, relative to water, moisture is percent of oven-dry mass and
    density at 12 % is kg/m3. None means not known. ``*_seen`` is "seen" where the figure stood in
    a text that could be opened, "memory" where it is recalled, "derived" where worked out, and
    empty where the group holds no figure.
    """

    name: str
    botanical: tuple[str, ...]
    aliases: tuple[str, ...]
    trade_groups: tuple[str, ...]
    group: str
    origin: str
    sg_green: float | None
    sg_green_source: str
    sg_green_seen: str
    sg_12: float | None
    density_12_kg_m3: float | None
    sg_12_source: str
    sg_12_seen: str
    shrink_radial_pct: float | None
    shrink_tangential_pct: float | None
    shrink_volumetric_pct: float | None
    shrink_source: str
    shrink_seen: str
    mc_green_heart_pct: float | None
    mc_green_sap_pct: float | None
    mc_green_source: str
    mc_green_seen: str
    note: str

    @property
    def genus(self) -> str:
        """First word of the botanical name."""
        return self.botanical[0].split()[0]

    @property
    def density(self) -> Density:
        """Basic density with the rule behind it, the best figure there is.

        Oven-dry mass over green volume relative to water: as tabled, else from the specific
        gravity or density at 12 % MC (Wood Handbook FPL-GTR-282, Eq. 4-13 and 4-14), else from
        volumetric shrinkage (Eq. 4-12, S = 26.5 G), else the middle of the group in this table.
        """
        return _density_of(self)

    @property
    def basic_density(self) -> float:
        """Oven-dry mass over green volume, relative to water (see `density` for its rule)."""
        return self.density.value


def all_species() -> tuple[Species, ...]:
    """Give every species of the table, in its order.

    Returns
    -------
    tuple of Species
        Shrinkage and moisture in percent, other units as said at `Species`; each row names the
        source of each of its groups of figures.

    References
    ----------
    .. [1] species.csv beside this module, whose rows carry source, edition and table.
    """
    return _read_table()


def species_named(text: str) -> Species:
    """Find one species by its common name, an alias, or its botanical name.

    Case, hyphens and repeated blanks do not matter. Names are in natural order ("white oak").

    Parameters
    ----------
    text : str
        The name as a person wrote it.

    Returns
    -------
    Species
        The one species that bears the name; units as said at `Species`.

    Raises
    ------
    AmbiguousSpecies
        The name is that of a genus or of a trade group, such as "oak" or "hard maple".
    UnknownSpecies
        No species bears it; ``choices`` holds names that look alike, if any.

    References
    ----------
    .. [1] species.csv beside this module. Names are common knowledge, not from one source.

    Examples
    --------
    >>> species_named("QUERCUS  alba").name
    'white oak'
    """
    key = _key(text)
    found = _index().get(key, ())
    if len(found) == 1:
        return found[0]
    choices = found or _wider(key)
    if len(choices) > 1:
        raise AmbiguousSpecies(text, tuple(one.name for one in choices))
    near = tuple(one.name for one in choices) or _alike(key)
    raise UnknownSpecies(text, near)


def _key(text: str) -> str:
    return re.sub(r"[\s_-]+", " ", text).strip().casefold()


@functools.cache
def _index() -> dict[str, tuple[Species, ...]]:
    index: dict[str, tuple[Species, ...]] = {}
    for one in _read_table():
        for label in dict.fromkeys(map(_key, (one.name, *one.aliases, *one.botanical))):
            index[label] = (*index.get(label, ()), one)
    return index


def _wider(key: str) -> tuple[Species, ...]:
    """All species whose name ends so, or whose genus or trade group it is."""
    return tuple(one for one in _read_table() if key and _belongs(one, key))


def _belongs(one: Species, key: str) -> bool:
    wider = (one.genus, f"{one.genus} spp.", *one.trade_groups)
    if key in map(_key, wider):
        return True
    labels = (one.name, *one.aliases, *one.trade_groups)
    return any(_key(label).endswith(f" {key}") for label in labels)


def _alike(key: str) -> tuple[str, ...]:
    near = difflib.get_close_matches(key, _index(), n=5, cutoff=0.75)
    return tuple(dict.fromkeys(one.name for label in near for one in _index()[label]))


@functools.cache
def _read_table() -> tuple[Species, ...]:
    return tuple(_species_from(row) for row in rows_of("species.csv"))


def _species_from(row: dict[str, str]) -> Species:
    return Species(
        name=row["name"],
        botanical=_parts(row["botanical"]),
        aliases=_parts(row["aliases"]),
        trade_groups=_parts(row["trade_groups"]),
        group=row["group"],
        origin=row["origin"],
        sg_green=_number(row["sg_green"]),
        sg_green_source=row["sg_green_source"],
        sg_green_seen=row["sg_green_seen"],
        sg_12=_number(row["sg_12"]),
        density_12_kg_m3=_number(row["density_12_kg_m3"]),
        sg_12_source=row["sg_12_source"],
        sg_12_seen=row["sg_12_seen"],
        shrink_radial_pct=_number(row["shrink_radial_pct"]),
        shrink_tangential_pct=_number(row["shrink_tangential_pct"]),
        shrink_volumetric_pct=_number(row["shrink_volumetric_pct"]),
        shrink_source=row["shrink_source"],
        shrink_seen=row["shrink_seen"],
        mc_green_heart_pct=_number(row["mc_green_heart_pct"]),
        mc_green_sap_pct=_number(row["mc_green_sap_pct"]),
        mc_green_source=row["mc_green_source"],
        mc_green_seen=row["mc_green_seen"],
        note=row["note"],
    )


def _parts(text: str) -> tuple[str, ...]:
    return tuple(part for part in text.split(";") if part)


def _number(text: str) -> float | None:
    return float(text) if text else None


def _density_of(one: Species) -> Density:
    own = _own_density(one)
    if own:
        return own
    kin = sorted(
        density.value
        for other in _read_table()
        if other.group == one.group and (density := _own_density(other))
    )
    return Density(kin[len(kin) // 2], f"middle of the {one.group}s in this table", seen=False)


def _own_density(one: Species) -> Density | None:
    if one.sg_green is not None:
        return Density(one.sg_green, one.sg_green_source, seen=one.sg_green_seen == "seen")
    if one.sg_12 is not None:
        return _density_from_12(one.sg_12, "specific gravity at 12 % MC by Eq. 4-13", one)
    if one.density_12_kg_m3 is not None:
        sg_12 = one.density_12_kg_m3 / 1000.0 / 1.12
        return _density_from_12(sg_12, "density at 12 % MC by Eq. 4-13 and 4-14", one)
    if one.shrink_volumetric_pct is not None:
        rule = "volumetric shrinkage by S = 26.5 G, Wood Handbook FPL-GTR-282, Eq. 4-12"
        return Density(one.shrink_volumetric_pct / 26.5, rule, seen=one.shrink_seen == "seen")
    return None


def _density_from_12(sg_12: float, way: str, one: Species) -> Density:
    value = sg_12 / (1.0 + _SWELLING * _TWELVE * sg_12)
    rule = f"from {way} of Wood Handbook FPL-GTR-282; {one.sg_12_source}"
    return Density(value, rule, seen=one.sg_12_seen == "seen")
