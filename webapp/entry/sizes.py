"""The sizes the yard knows, each read and written in a person's units."""

from dataclasses import dataclass
from functools import partial

from webapp.entry import kinds
from webapp.entry.fields import Kind
from webapp.entry.length_text import length_text
from webapp.entry.lengths import length_mm
from webapp.entry.typed_lengths import Unit
from webapp.look import Units


@dataclass(frozen=True)
class Size:
    """A kind of size: its limits, and how it is usually spoken of."""

    low_mm: float
    high_mm: float
    quarters: bool = False
    long: bool = False

    def bare(self, units: Units) -> Unit:
        """Give the unit of a number that stands without one."""
        if units is Units.METRIC:
            return Unit.MM
        return Unit.FT if self.long else Unit.IN


THICKNESS = Size(*kinds.THICKNESS_LIMITS_MM, quarters=True)
WIDTH = Size(*kinds.WIDTH_LIMITS_MM)
LENGTH = Size(*kinds.LENGTH_LIMITS_MM, long=True)
DIAMETER = Size(*kinds.DIAMETER_LIMITS_MM)
STICKERS = Size(*kinds.STICKERS_LIMITS_MM)
SPACING = Size(*kinds.SPACING_LIMITS_MM)
NEEDLE = Size(*kinds.NEEDLE_LIMITS_MM)


def size_kind(size: Size, units: Units) -> Kind:
    """Give the reader and the writer of a size."""
    read = partial(
        length_mm,
        low_mm=size.low_mm,
        high_mm=size.high_mm,
        bare=size.bare(units),
        quarters=size.quarters,
    )
    return Kind(read, partial(length_text, units=units, long=size.long))
