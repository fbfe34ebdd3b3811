"""A small memory of results worked out lately, found again by what they were worked out from."""

from __future__ import annotations

from collections import OrderedDict
from threading import Lock
from typing import TYPE_CHECKING, Generic, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable

Result = TypeVar("Result")


class Recall(Generic[Result]):
    """The last few results by fingerprint; safe for several threads."""

    def __init__(self, room: int) -> None:
        self._room, self._lock = room, Lock()
        self._kept: OrderedDict[str, Result] = OrderedDict()

    def of(self, fingerprint: str, work_out: Callable[[], Result]) -> Result:
        """Give the result with this fingerprint, worked out if it is not remembered."""
        with self._lock:
            if fingerprint in self._kept:
                self._kept.move_to_end(fingerprint)
                return self._kept[fingerprint]
            result = work_out()
            self._kept[fingerprint] = result
            if len(self._kept) > self._room:
                self._kept.popitem(last=False)
            return result
