"""The forms of a stack: where it stands and since when, what it is for, how it is built; a move."""

from webapp.entry import kinds
from webapp.entry.entries import StackEntry
from webapp.entry.form import ChoiceField, ParsedField, SizeField, TextField
from webapp.entry.likely_days import refuse_to_come, refuse_unlikely
from webapp.entry.placed_form import PlacedForm
from webapp.entry.sizes import SPACING, STICKERS
from webapp.wood.uses import USES, use_named

KEPT_WORDS = tuple((kept, kept) for kept in kinds.KEPT_AS)
NO_USE = "not known yet: as dry as it gets here"
USE_WORDS = tuple((use.name, f"{use.name} ({use.target_pct:g} %)") for use in USES)


class StackForm(PlacedForm):
    """A stack as typed; without a percent of its own it takes the one of its use."""

    stack = ParsedField("Mark", kinds.MARK.read, needed=True)
    name = ParsedField("Name", kinds.LINE.read)
    place = ChoiceField("Place", kinds.MARK.read, (), needed=True, unsaid="choose")
    stacked_on = ParsedField("Stacked on", kinds.DAY.read, needed=True)
    use = ChoiceField(
        "What is it for?",
        kinds.LINE.read,
        USE_WORDS,
        unsaid="not known yet: as dry as it gets here",
    )
    target_pct = ParsedField("Your own percent", kinds.TARGET_PCT.read)
    board_count = ParsedField("Boards in it, if you do not list them all", kinds.BOARD_COUNT.read)
    stickers_mm = SizeField("Thickness of the stickers", STICKERS)
    spacing_mm = SizeField("Stickers apart", SPACING)
    kept_as = ChoiceField("Kept as", kinds.KEPT.read, KEPT_WORDS)
    held_by = ParsedField("Held by", kinds.LINE.read)
    visit_days = ParsedField("Days between rounds", kinds.VISIT_DAYS.read)
    note = TextField("Note", kinds.NOTE.read)

    def validate_stacked_on(self, field: ParsedField) -> None:
        """Refuse a day that has not come yet, or too long ago."""
        refuse_unlikely(field, self.today)

    def entry(self) -> StackEntry:
        """Give the checked stack; only after `validate` found no error."""
        use = use_named(self.use.data)
        target_pct = self.target_pct.data
        return StackEntry(
            stack=self.stack.data,
            place=self.place.data,
            stacked_on=self.stacked_on.data,
            name=self.name.data,
            stickers_mm=self.stickers_mm.data,
            spacing_mm=self.spacing_mm.data,
            kept_as=self.kept_as.data,
            held_by=self.held_by.data,
            board_count=self.board_count.data,
            target_pct=use.target_pct if use and target_pct is None else target_pct,
            use=use.name if use else self.use.data,
            visit_days=self.visit_days.data,
            note=self.note.data,
            uid=self.uid.data,
        )


class MoveForm(PlacedForm):
    """A move of a stack to another place."""

    place = ChoiceField("To", kinds.MARK.read, (), needed=True, unsaid="choose")
    moved_on = ParsedField("Moved on", kinds.DAY.read, needed=True)

    def validate_moved_on(self, field: ParsedField) -> None:
        """Refuse a day that has not come yet."""
        refuse_to_come(field, self.today)
