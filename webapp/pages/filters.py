"""What of the yard is shown: by species, place, state and thickness, as the address says."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from webapp import wording
from webapp.drying.verdict import State
from webapp.look import Units
from webapp.sizes import size_words

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from webapp.pages.bare_stacks import BareStack
    from webapp.pages.stack_lines import Piece, StackLine

_ = wording.translation.gettext

LONGEST_TOLD = 40


@dataclass(frozen=True)
class Choice:
    """One of the fields to filter by: its values as the address has them, with their words."""

    name: str
    words: str
    every: str
    values: Mapping[str, str]


@dataclass(frozen=True)
class Wanted:
    """What was asked for; ``query`` says it again in an address, ``odd`` tells what was not.

    ``shown`` is the same for people; a thickness is asked for as its words say it, so that what
    reads alike in inches is found together.
    """

    query: Mapping[str, str] = field(default_factory=dict)
    shown: tuple[str, ...] = ()
    odd: tuple[str, ...] = ()
    units: Units = Units.METRIC


def choices_of(lines: Sequence[StackLine], bare: Sequence[BareStack], units: Units) -> list[Choice]:
    """List what there is to choose in a yard."""
    boards = [piece.board for line in lines for piece in line.pieces]
    species = sorted({board.species for board in boards})
    stood_at = [line.place for line in lines] + [one.place for one in bare]
    places = sorted({place.name for place in stood_at if place})
    states = {line.said.state for line in lines}
    thick = {size_words(mm, units): f"{mm:g}" for mm in sorted({b.thickness_mm for b in boards})}
    return [
        Choice("species", _("Species"), _("all species"), {name: name for name in species}),
        Choice("place", _("Place"), _("all places"), {name: name for name in places}),
        Choice(
            "state",
            _("State"),
            _("all states"),
            {state.value: wording.state_word(state) for state in State if state in states},
        ),
        Choice(
            "thickness",
            _("Thickness"),
            _("all thicknesses"),
            {value: words for words, value in thick.items()},
        ),
    ]


def wanted_of(asked: Mapping[str, str], choices: Sequence[Choice], units: Units) -> Wanted:
    """Read what an address asks for; what is not in this yard is passed over with a word."""
    query, shown, odd = {}, [], []
    for choice in choices:
        value = " ".join(asked.get(choice.name, "").split())
        found = {name.casefold(): name for name in choice.values}.get(value.casefold())
        if found is not None:
            query[choice.name] = found
            shown.append(choice.values[found])
        elif value:
            odd.append(f"{choice.words} “{_cut(value)}”")
    return Wanted(query, tuple(shown), tuple(odd), units)


def worth_choosing(choices: Iterable[Choice], wanted: Wanted) -> list[Choice]:
    """Leave out the fields that would change nothing: those with one value."""
    return [c for c in choices if len(c.values) > 1 or c.name in wanted.query]


def lines_wanted(lines: Iterable[StackLine], wanted: Wanted) -> list[StackLine]:
    """Keep the stacks that are asked for, whole."""
    place, state = wanted.query.get("place"), wanted.query.get("state")
    return [
        line
        for line in lines
        if place in {None, line.place.name if line.place else None}
        and state in {None, line.said.state.value}
        and any(piece_wanted(piece, wanted) for piece in line.pieces)
    ]


def bare_wanted(bare: Iterable[BareStack], wanted: Wanted) -> list[BareStack]:
    """Keep the stacks without boards that are asked for: only their place can be."""
    if set(wanted.query) - {"place"}:
        return []
    place = wanted.query.get("place")
    return [one for one in bare if place in {None, one.place.name if one.place else None}]


def piece_wanted(piece: Piece, wanted: Wanted) -> bool:
    """Tell whether a board is of the wood that is asked for."""
    species, thickness = wanted.query.get("species"), wanted.query.get("thickness")
    return species in {None, piece.board.species} and (
        thickness is None
        or size_words(float(thickness), wanted.units)
        == size_words(piece.board.thickness_mm, wanted.units)
    )


def _cut(value: str) -> str:
    return value if len(value) <= LONGEST_TOLD else f"{value[:LONGEST_TOLD]}…"
