"""The unit of numbers that stand without one in a line of boards."""

from __future__ import annotations

from typing import TYPE_CHECKING

from webapp.entry.sizes import LENGTH, THICKNESS, WIDTH
from webapp.entry.typed_lengths import Unit
from webapp.look import Units

if TYPE_CHECKING:
    from collections.abc import Iterable

    from webapp.entry.bulk_items import SizeItem
    from webapp.entry.typed_lengths import TypedLength

SLOTS = {"thickness": THICKNESS, "width": WIDTH, "length": LENGTH}


class BareUnits:
    """The unit of numbers without one: what the rest of the line tells, else the person's."""

    def __init__(self, sizes: Iterable[SizeItem], units: Units) -> None:
        typed = [end for size in sizes for end in (size.low, size.high) if end]
        signs = {end.unit for end in typed if end.unit}
        if any(end.is_mixed or (end.is_fraction and not end.is_quarters) for end in typed):
            signs.add(Unit.IN)
        systems = {sign.is_metric for sign in signs}
        self.units = units
        if len(systems) == 1:
            self.units = Units.METRIC if systems.pop() else Units.INCH
        self.only_cm = signs == {Unit.CM}

    def unit(self, slot: str) -> Unit:
        """Give the unit for one of the sizes."""
        return Unit.CM if self.only_cm else SLOTS[slot].bare(self.units)

    def mm(self, slot: str, typed: TypedLength) -> float:
        """Give millimetres, whatever their limits."""
        return float(typed.mm(self.unit(slot)))
