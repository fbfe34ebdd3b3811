"""The form that moves boards: to another stack, or out of the yard's stacks, and why."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any

from wtforms import SelectMultipleField
from wtforms.validators import ValidationError

from webapp.entry import kinds
from webapp.entry.fields import choice
from webapp.entry.form import NEEDED, ChoiceField, ParsedField, YardForm
from webapp.entry.likely_days import refuse_to_come

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from webapp.entry.form import SentFields

TO_STACK, OTHER = "stack", "other"
WHITHER_WORDS = (
    (TO_STACK, "to another stack"),
    ("set aside", "set aside, here in the yard"),
    ("used", "used"),
    ("sold", "sold"),
    ("lost", "lost or broken"),
    (OTHER, "gone for another reason"),
)
_WHITHER = tuple(value for value, _words in WHITHER_WORDS)


class MoveForm(YardForm):
    """A move as typed."""

    whither = ChoiceField("Where to", partial(choice, choices=_WHITHER), WHITHER_WORDS, needed=True)
    stack = ParsedField("Which stack", kinds.MARK.read)
    moved_on = ParsedField("From which day", kinds.DAY.read, needed=True)
    why = ParsedField("Why, in your words", kinds.LINE.read)

    def __init__(
        self,
        formdata: SentFields | None = None,
        *,
        today: date,
        data: Mapping[str, Any] | None = None,
    ) -> None:
        super().__init__(formdata, data=data)
        self.today = today

    def validate(self, extra_validators: Mapping[str, Sequence[Any]] | None = None) -> bool:
        """Check every field; which stack, or which cause, is asked only where it is needed."""
        good = super().validate(extra_validators)
        for whither, field in ((TO_STACK, self.stack), (OTHER, self.why)):
            if self.whither.data == whither and field.data is None and not field.errors:
                field.errors = [NEEDED]
                good = False
        if self.whither.data not in {None, TO_STACK} and self.stack.data is not None:
            self.stack.errors = ["Leave this empty, or choose “to another stack” above."]
            good = False
        return good

    def validate_moved_on(self, field: ParsedField) -> None:
        """Refuse a day that has not come yet."""
        refuse_to_come(field, self.today)

    def told_why(self) -> str | None:
        """Give the cause as it is kept: its word, then what the person says of it."""
        word = self.whither.data if self.whither.data not in {TO_STACK, OTHER} else None
        return ": ".join(filter(None, (word, self.why.data))) or None


class MovesForm(MoveForm):
    """One move of several boards, named by their codes."""

    board = SelectMultipleField("Boards", validate_choice=False)

    def validate_board(self, field: SelectMultipleField) -> None:
        """Refuse a move of nothing."""
        if not field.data:
            raise ValidationError("Tick the boards that go.")
