"""The form of one board: what it is, how it was sawn, where it came from."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from wtforms import BooleanField
from wtforms.validators import ValidationError

from webapp.entry import kinds
from webapp.entry.boards_form import GRAIN_WORDS
from webapp.entry.entries import BoardEntry
from webapp.entry.form import ChoiceField, ParsedField, SizeField, YardForm
from webapp.entry.likely_days import refuse_to_come, refuse_unlikely
from webapp.entry.sizes import LENGTH, THICKNESS, WIDTH

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from webapp.entry.form import SentFields
    from webapp.look import Units


class BoardForm(YardForm):
    """A board as typed."""

    board = ParsedField("Mark", kinds.MARK.read, needed=True)
    species = ParsedField("Species", kinds.SPECIES.read, needed=True)
    thickness_mm = SizeField("Thickness", THICKNESS, needed=True)
    width_mm = SizeField("Width", WIDTH)
    width_end_mm = SizeField("Width at the other end", WIDTH)
    length_mm = SizeField("Length", LENGTH)
    grain = ChoiceField("How sawn", kinds.GRAIN.read, GRAIN_WORDS)
    stacked_on = ParsedField("First stacked on", kinds.DAY.read, needed=True)
    sawn_on = ParsedField("Sawn on", kinds.DAY.read)
    log = ParsedField("From log", kinds.MARK.read)
    turn = ParsedField("Turn in the log", kinds.LINE.read)
    target_pct = ParsedField("Dried to, %", kinds.TARGET_PCT.read)
    borate = ParsedField("Borate", kinds.LINE.read)
    sure = BooleanField("It is right; save it as typed")

    def __init__(
        self,
        formdata: SentFields | None = None,
        *,
        today: date,
        units: Units,
        data: Mapping[str, Any] | None = None,
    ) -> None:
        super().__init__(formdata, data=data, units=units)
        self.today = today

    def validate_width_end_mm(self, field: SizeField) -> None:
        """Refuse a second width where the first is not known."""
        if field.data is not None and self.width_mm.data is None and not self.width_mm.errors:
            raise ValidationError("Expected the width at the first end too, or neither.")

    def validate_stacked_on(self, field: ParsedField) -> None:
        """Refuse a day that has not come yet, or too long ago."""
        refuse_unlikely(field, self.today)

    def validate_sawn_on(self, field: ParsedField) -> None:
        """Refuse a day after the stacking, or one that has not come yet."""
        refuse_to_come(field, self.today)
        stacked_on = self.stacked_on.data
        if field.data is not None and stacked_on is not None and field.data > stacked_on:
            raise ValidationError("Expected the day of stacking or one before it.")

    def ask_of_log(self, log_species: str) -> bool:
        """Ask about a board of another species than its log, unless the person is sure."""
        if log_species == self.species.data or self.sure.data:
            return False
        said = f"Log “{self.log.data}” is written down as {log_species}, but this board is "
        self.sure.errors = [f"{said}{self.species.data}."]
        return True

    def entry(self) -> BoardEntry:
        """Give the checked board; only after `validate` found no error."""
        return BoardEntry(
            board=self.board.data,
            species=self.species.data,
            thickness_mm=self.thickness_mm.data,
            stacked_on=self.stacked_on.data,
            width_mm=self.width_mm.data,
            width_end_mm=self.width_end_mm.data,
            length_mm=self.length_mm.data,
            sawn_on=self.sawn_on.data,
            grain=self.grain.data,
            log=self.log.data,
            turn=self.turn.data,
            target_pct=self.target_pct.data,
            borate=self.borate.data,
        )
