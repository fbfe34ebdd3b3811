"""The form of one reading of a board: what the meter showed, when, where and with what."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from wtforms import BooleanField

from webapp.entry import kinds
from webapp.entry.form import ChoiceField, ParsedField, SentFields, TextField, YardForm
from webapp.entry.likely_days import refuse_to_come
from webapp.entry.reading_text import ShownReading, hits
from webapp.entry.surprise import question_of
from webapp.entry.temperature_field import TemperatureField
from webapp.look import Units

DEPTH_WORDS = (
    ("shell", "outside"),
    ("quarter", "a quarter of the way in"),
    ("core", "inside"),
    ("mean", "all through"),
)
SPOT_WORDS = (
    ("face", "face, mid-length"),
    ("edge", "edge"),
    ("end", "near an end"),
    ("nails", "fixed nails"),
    ("pulled out", "board pulled out of the stack"),
)


@dataclass(frozen=True)
class ReadingEntry:
    """One reading of a board, or of a witness board, as a person entered it; one or more hits."""

    board: str
    read_on: date
    hits: tuple[ShownReading, ...]
    read_at: datetime | None = None
    meter: str | None = None
    temperature_c: float | None = None
    depth: str | None = None
    spot: str | None = None
    note: str | None = None
    by: str | None = None
    uid: UUID | None = None


class ReadingForm(YardForm):
    """A reading as typed; an empty date means today."""

    board = ParsedField("Board", kinds.MARK.read, needed=True)
    reading = ParsedField("Reading", hits, needed=True)
    read_on = ParsedField("Read on", kinds.DAY.read)
    meter = ParsedField("Meter", kinds.MARK.read)
    temperature_c = TemperatureField("Wood temperature", kinds.WOOD_TEMPERATURE_LIMITS_C)
    depth = ChoiceField("Depth", kinds.DEPTH.read, DEPTH_WORDS)
    spot = ChoiceField("Spot", kinds.SPOT.read, SPOT_WORDS)
    note = TextField("Note", kinds.NOTE.read)
    by = ParsedField("Read by", kinds.LINE.read)
    sure = BooleanField("It is right; save it as typed")

    def __init__(
        self,
        formdata: SentFields | None = None,
        *,
        today: date,
        data: Mapping[str, Any] | None = None,
        units: Units = Units.METRIC,
    ) -> None:
        super().__init__(formdata, data=data, units=units)
        self.today = today

    def validate_read_on(self, field: ParsedField) -> None:
        """Refuse a day that has not come yet."""
        refuse_to_come(field, self.today)

    def question(
        self, near: tuple[float, float] | None, over_range_pct: float | None
    ) -> str | None:
        """Ask about a surprising reading, unless the person already said it is right.

        `near` holds the lowest and the highest of the same board's readings near in time.
        """
        return None if self.sure.data else question_of(self.reading.data, near, over_range_pct)

    def entry(self) -> ReadingEntry:
        """Give the checked reading; only after `validate` found no error."""
        return ReadingEntry(
            board=self.board.data,
            read_on=self.read_on.data or self.today,
            hits=self.reading.data,
            meter=self.meter.data,
            temperature_c=self.temperature_c.data,
            depth=self.depth.data,
            spot=self.spot.data,
            note=self.note.data,
            by=self.by.data,
            uid=self.uid.data,
        )
