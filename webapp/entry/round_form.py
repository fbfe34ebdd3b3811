"""The form of a round: one stack on one day, a field a board; what is left empty is skipped."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, cast
from uuid import uuid5

from wtforms import BooleanField

from webapp.entry import kinds
from webapp.entry.form import ChoiceField, ParsedField, YardForm
from webapp.entry.likely_days import refuse_to_come
from webapp.entry.reading_form import DEPTH_WORDS, SPOT_WORDS, ReadingEntry
from webapp.entry.reading_text import hits
from webapp.entry.surprise import question_of
from webapp.entry.temperature_field import TemperatureField

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from webapp.entry.form import SentFields
    from webapp.look import Units

NOTHING_TYPED = "Nothing is typed yet: fill in what the meter shows for one board at least."


@dataclass(frozen=True)
class RoundLine:
    """A board, or witness board, of the round: its key in the form and its mark."""

    key: str
    mark: str
    witness: bool = False


class RoundForm(YardForm):
    """What all readings of a round share; `make` adds the boards' own fields."""

    read_on = ParsedField("Read on", kinds.DAY.read, needed=True)
    meter = ChoiceField("Meter", kinds.MARK.read, ())
    temperature_c = TemperatureField("Wood temperature", kinds.WOOD_TEMPERATURE_LIMITS_C)
    spot = ChoiceField("Spot", kinds.SPOT.read, SPOT_WORDS)
    depth = ChoiceField("Depth", kinds.DEPTH.read, DEPTH_WORDS)
    by = ParsedField("Read by", kinds.LINE.read)
    lines: Sequence[RoundLine] = ()
    today: date

    @classmethod
    def make(
        cls,
        lines: Sequence[RoundLine],
        formdata: SentFields | None,
        *,
        today: date,
        meters: Sequence[str],
        data: Mapping[str, Any],
        units: Units,
    ) -> RoundForm:
        """Make the form of one stack, with a field for the reading of each board."""
        fields: dict[str, Any] = {"lines": tuple(lines), "today": today}
        for line in lines:
            fields[f"hits_{line.key}"] = ParsedField(line.mark, hits)
            fields[f"sure_{line.key}"] = BooleanField("It is right; save it as typed")
        form: RoundForm = type("RoundOfStackForm", (cls,), fields)(formdata, data=data, units=units)
        form.meter.choices = [(name, name) for name in meters]
        return form

    def reading(self, line: RoundLine) -> ParsedField:
        """Give the field of a board's reading."""
        return cast("ParsedField", self[f"hits_{line.key}"])

    def sure(self, line: RoundLine) -> BooleanField:
        """Give the box that says a surprising reading is right."""
        return cast("BooleanField", self[f"sure_{line.key}"])

    def validate_read_on(self, field: ParsedField) -> None:
        """Refuse a day that has not come yet."""
        refuse_to_come(field, self.today)

    def typed(self) -> list[RoundLine]:
        """List the boards whose readings were typed."""
        return [line for line in self.lines if self.reading(line).data]

    def check_typed(self) -> bool:
        """Tell whether anything is there to keep; say so if not."""
        if not self.typed():
            self.form_errors.append(NOTHING_TYPED)
        return bool(self.typed())

    def ask(self, near: Mapping[str, tuple[float, float]], over_range_pct: float | None) -> bool:
        """Ask about every surprising reading that was not said to be right; tell if any is.

        `near` holds the lowest and highest readings near in time, by the boards' keys.
        """
        asked = False
        for line in self.typed():
            question = question_of(self.reading(line).data, near.get(line.key), over_range_pct)
            if question and not self.sure(line).data:
                self.sure(line).errors = [question]
                asked = True
        return asked

    def entries(self) -> list[tuple[RoundLine, ReadingEntry]]:
        """Give the checked readings; only after `validate` found no error."""
        return [(line, self._entry(line)) for line in self.typed()]

    def _entry(self, line: RoundLine) -> ReadingEntry:
        return ReadingEntry(
            board=line.mark,
            read_on=self.read_on.data,
            hits=self.reading(line).data,
            meter=self.meter.data,
            temperature_c=self.temperature_c.data,
            spot=self.spot.data,
            depth=self.depth.data,
            by=self.by.data,
            # The same for the same round sent again.
            uid=uuid5(self.uid.data, line.key) if self.uid.data else None,
        )

    def named(self, field: str) -> str:
        """Name a question by its board."""
        return super().named(str(field).replace("sure_", "hits_", 1))
