"""The names of species that a field offers while one is typed."""

from __future__ import annotations

from functools import cache

from webapp.wood.species_table import all_species


@cache
def species_names() -> tuple[str, ...]:
    """List every common name and plain alias, in the order of the alphabet."""
    names = {name for one in all_species() for name in (one.name, *one.aliases)}
    return tuple(sorted(names, key=str.casefold))
