"""Readings as a board's page lists them: from what the meter showed to what it means."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from webapp import wording

if TYPE_CHECKING:
    from datetime import date
    from uuid import UUID


_ = wording.translation.gettext


@dataclass(frozen=True)
class ReadingLine:
    """One reading in words."""

    uid: UUID
    on: date
    shown: str
    corrected: str
    rule: str
    struck: str
