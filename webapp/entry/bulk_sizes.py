"""Which number of a line of boards is the thickness, the width, the length."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from webapp.entry.bulk_count import MOST_SIZES, THICK_MM, first_is_count
from webapp.entry.bulk_units import SLOTS, BareUnits
from webapp.entry.fields import Unreadable
from webapp.entry.lengths import checked_mm
from webapp.entry.typed_lengths import Unit

if TYPE_CHECKING:
    from collections.abc import Sequence

    from webapp.entry.bulk_items import LineItems, SizeItem
    from webapp.entry.typed_lengths import TypedLength
    from webapp.look import Units

_LONG_UNITS = (Unit.M, Unit.FT)
# Beyond it, a width without a word is asked about rather than taken.
_LONG_WIDE_MM = 1000

Millimetres = dict[str, tuple[float, float | None]]


def count_and_sizes(items: LineItems, units: Units) -> tuple[int | None, Millimetres]:
    """Give the count, where one stands there, and the sizes in mm, a range as its two ends."""
    sizes = list(items.sizes)
    count = None
    if first_is_count(items, units):
        count = int(sizes.pop(0).low.amount)
        if sizes:
            sizes[0].joined = False
    if len(sizes) > MOST_SIZES:
        raise Unreadable(
            "expected at most thickness, width and length; found "
            + " x ".join(size.text for size in sizes)
        )
    bare = BareUnits(sizes, units)
    slots = _slots(sizes, bare)
    return count, {slot: _mm(slot, size, bare) for slot, size in slots.items()}


def _slots(sizes: Sequence[SizeItem], bare: BareUnits) -> dict[str, SizeItem]:
    slots: dict[str, SizeItem] = {}
    for size in sizes:
        if size.label:
            _put(slots, size.label, size)
    unsaid = [size for size in sizes if not size.label]
    long = [size for size in unsaid if size.low.unit in _LONG_UNITS]
    if len(long) == 1 and "length" not in slots:
        slots["length"] = long[0]
        unsaid.remove(long[0])
    for size in unsaid:
        free = next((slot for slot in SLOTS if slot not in slots), None)
        if free is None:
            raise Unreadable(f"expected each size once; “{size.text}” is one too many")
        slots[free] = size
    _ask(slots, bare)
    return slots


def _put(slots: dict[str, SizeItem], slot: str, size: SizeItem) -> None:
    if slot in slots:
        raise Unreadable(f"expected one {slot}; found “{slots[slot].text}” and “{size.text}”")
    slots[slot] = size


def _ask(slots: dict[str, SizeItem], bare: BareUnits) -> None:
    """Ask about a size that stands where it can hardly belong; beyond its limits it is refused."""
    doubtful = [("thickness", THICK_MM, "thick", "wide")]
    if "length" not in slots:
        doubtful.append(("width", _LONG_WIDE_MM, "long", "wide"))
    for slot, most_mm, one, other in doubtful:
        size = slots.get(slot)
        if size is None or size.label:
            continue
        if most_mm < bare.mm(slot, size.low) <= SLOTS[slot].high_mm:
            said = f"“{size.text} {one}” or “{size.text} {other}”"
            raise Unreadable(f"expected a word with “{size.text}”: {said}")


def _mm(slot: str, size: SizeItem, bare: BareUnits) -> tuple[float, float | None]:
    low, high = size.low, size.high
    if high is None:
        return _checked(slot, low, size.text, bare), None
    if slot != "width":
        raise Unreadable(
            f"expected one {slot}; “{size.text}” is a range, and only a live edge's width has one"
        )
    low, high = replace(low, unit=low.unit or high.unit), replace(high, unit=high.unit or low.unit)
    ends = sorted(_checked(slot, end, size.text, bare) for end in (low, high))
    return (ends[0], ends[1]) if ends[0] < ends[1] else (ends[0], None)


def _checked(slot: str, typed: TypedLength, text: str, bare: BareUnits) -> float:
    if typed.is_quarters and slot != "thickness":
        raise Unreadable(f"expected a {slot}; “{text}”, in quarters of an inch, is a thickness")
    limits = SLOTS[slot]
    try:
        return checked_mm(typed, text, limits.low_mm, limits.high_mm, bare.unit(slot))
    except Unreadable as refusal:
        raise Unreadable(f"{slot}: {refusal}") from None
