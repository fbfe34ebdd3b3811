"""The form of boards in bulk: lines of boards, and what holds for all of them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from wtforms import BooleanField
from wtforms.validators import StopValidation, ValidationError

from webapp.entry import kinds
from webapp.entry.board_marks import first_mark
from webapp.entry.bulk_boards import BoardLine, board_lines
from webapp.entry.bulk_entries import BoardDefaults, boards_of_lines
from webapp.entry.entries import LogEntry
from webapp.entry.form import ChoiceField, ParsedField, SizeField, TextField, YardForm
from webapp.entry.likely_days import refuse_to_come, refuse_unlikely
from webapp.entry.sizes import LENGTH, THICKNESS, WIDTH

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from webapp.entry.entries import BoardEntry
    from webapp.entry.form import SentFields
    from webapp.look import Units

GRAIN_WORDS = (("flat", "flat"), ("quarter", "quarter"), ("mixed", "mixed"))


class BoardsForm(YardForm):
    """Boards as typed; ``begins`` is the day their stack was set up."""

    lines = TextField("Boards", str)
    species = ParsedField("Species", kinds.SPECIES.read)
    first_mark = ParsedField("Mark of the first board", first_mark, needed=True)
    stacked_on = ParsedField("Stacked on", kinds.DAY.read, needed=True)
    sawn_on = ParsedField("Sawn on", kinds.DAY.read)
    log = ParsedField("From log", kinds.MARK.read)
    thickness_mm = SizeField("Thickness", THICKNESS)
    width_mm = SizeField("Width", WIDTH)
    length_mm = SizeField("Length", LENGTH)
    grain = ChoiceField("How sawn", kinds.GRAIN.read, GRAIN_WORDS)
    target_pct = ParsedField("Dried to, %", kinds.TARGET_PCT.read)
    sure = BooleanField("It is right; save it as typed")

    def __init__(
        self,
        formdata: SentFields | None = None,
        *,
        today: date,
        begins: date,
        units: Units,
        data: Mapping[str, Any] | None = None,
    ) -> None:
        super().__init__(formdata, data=data, units=units)
        self.today, self.begins = today, begins
        self.read_lines: list[BoardLine] = []

    def validate_lines(self, field: TextField) -> None:
        """Read the lines; every faulty one is told."""
        # As it was sent: the lines are told by number, and blank ones in front count.
        text = str(field.raw_data[0]) if field.raw_data else ""
        self.read_lines, refusals = board_lines(text, self.units)
        if refusals:
            field.errors = [*field.errors, *map(str, refusals)]
            raise StopValidation

    def validate_stacked_on(self, field: ParsedField) -> None:
        """Refuse a day before the stack began, or one that has not come yet."""
        if field.data is not None and field.data < self.begins:
            raise ValidationError(f"The stack was set up on {self.begins}; no board lay there yet.")
        refuse_unlikely(field, self.today)

    def validate_sawn_on(self, field: ParsedField) -> None:
        """Refuse a day after the stacking, or one that has not come yet."""
        refuse_to_come(field, self.today)
        stacked_on = self.stacked_on.data
        if field.data is not None and stacked_on is not None and field.data > stacked_on:
            raise ValidationError("Expected the day of stacking or one before it.")

    def boards(self, taken: frozenset[str]) -> list[BoardEntry]:
        """Give the boards, with marks that are not taken; what stands in the way is told."""
        defaults = BoardDefaults(
            stacked_on=self.stacked_on.data,
            species=self.species.data,
            thickness_mm=self.thickness_mm.data,
            width_mm=self.width_mm.data,
            length_mm=self.length_mm.data,
            grain=self.grain.data,
            log=self.log.data,
            sawn_on=self.sawn_on.data,
            target_pct=self.target_pct.data,
        )
        plan = self.first_mark.data.passing_over(taken)
        boards, refusals = boards_of_lines(self.read_lines, defaults, plan)
        self.lines.errors = [*self.lines.errors, *map(str, refusals)]
        return boards

    def new_log(self, boards: list[BoardEntry]) -> LogEntry | None:
        """Give the log to be written down with its boards; a log is of one species."""
        species = {board.species for board in boards}
        if len(species) > 1:
            listed = ", ".join(sorted(species))
            self.log.errors = [f"A log is of one species; these boards are {listed}."]
            return None
        return LogEntry(self.log.data, species.pop(), sawn_on=self.sawn_on.data)

    def question_log(self, log_species: str, boards: list[BoardEntry]) -> None:
        """Ask about boards of another species than their log, unless the person is sure."""
        others = sorted({board.species for board in boards} - {log_species})
        if others and not self.sure.data:
            self.sure.errors = [
                (
                    f"Log “{self.log.data}” is written down as {log_species}, "
                    f"but these boards are {', '.join(others)}."
                )
            ]
