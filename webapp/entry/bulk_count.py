"""Whether the first number of a line of boards counts them, or is their thickness."""

from __future__ import annotations

from typing import TYPE_CHECKING

from webapp.entry.bulk_units import BareUnits
from webapp.entry.fields import Unreadable
from webapp.entry.sizes import THICKNESS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from webapp.entry.bulk_items import LineItems, SizeItem
    from webapp.look import Units

MOST_SIZES = 3
# Hardly any board is thicker, or wider: a number beyond them tells what the first one is.
THICK_MM, _WIDE_MM = 150, 600


def first_is_count(items: LineItems, units: Units) -> bool:
    """Tell whether the first number is a count; raises Unreadable where it may be either."""
    sizes = items.sizes
    if items.counted or not sizes or not sizes[0].may_count:
        return items.counted
    joined = _joined(sizes)
    if len(joined) > MOST_SIZES:
        return True
    known = len(items.marks) or len(items.turns)
    if known == 1 or known not in {0, sizes[0].low.amount}:
        return False
    if sizes[0].before_word or any(size.low.is_quarters for size in sizes[1:2]):
        return True
    return _told_by_size(sizes, joined, units)


def _told_by_size(sizes: Sequence[SizeItem], joined: Sequence[SizeItem], units: Units) -> bool:
    first, rest = sizes[0], list(joined[1:] or sizes[1:2])
    may_be_count = _may_be_count(first, rest, units)
    if len(joined) > 1:
        may_be_size = BareUnits(joined, units).mm("thickness", first.low) >= THICKNESS.low_mm
        if not (may_be_count and may_be_size):
            return may_be_count
    elif may_be_count and rest and not rest[0].low.is_count:
        return True
    raise _count_or_thickness(first, " x ".join(size.text for size in rest))


def _joined(sizes: Sequence[SizeItem]) -> list[SizeItem]:
    """Give the first size and those that an x ties to it."""
    end = next((i for i, size in enumerate(sizes) if i and not size.joined), len(sizes))
    return list(sizes[:end])


def _may_be_count(first: SizeItem, rest: Sequence[SizeItem], units: Units) -> bool:
    bare = BareUnits(rest, units)
    if any(size.label for size in rest) or first.low.amount < 1:
        return False
    return all(
        bare.mm(slot, size.low) <= most_mm
        for slot, size, most_mm in zip(
            ("thickness", "width"), rest, (THICK_MM, _WIDE_MM), strict=False
        )
    )


def _count_or_thickness(first: SizeItem, rest: str) -> Unreadable:
    after = f" {rest}" if rest else ""
    one = f"1 board {first.text} x {rest}" if rest else f"1 board {first.text} mm"
    return Unreadable(
        f"expected a word whether “{first.text}” is a count or a thickness: "
        f"“{first.text} boards{after}” or “{one}”"
    )
