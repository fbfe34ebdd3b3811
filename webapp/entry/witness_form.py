"""The form of a witness board: what wood it is, where it lies, since when it is known dry."""

from webapp.entry import kinds
from webapp.entry.entries import WitnessEntry
from webapp.entry.form import ChoiceField, ParsedField, SizeField, TextField
from webapp.entry.likely_days import refuse_to_come
from webapp.entry.placed_form import PlacedForm
from webapp.entry.sizes import THICKNESS


class WitnessForm(PlacedForm):
    """A witness board as typed."""

    board = ParsedField("Mark", kinds.MARK.read, needed=True)
    place = ChoiceField("It lies at", kinds.MARK.read, (), needed=True, unsaid="choose")
    species = ParsedField("Species", kinds.SPECIES.read, needed=True)
    thickness_mm = SizeField("Thickness", THICKNESS, needed=True)
    known_dry_since = ParsedField("Known dry since", kinds.DAY.read)
    note = TextField("Note", kinds.NOTE.read)

    def validate_known_dry_since(self, field: ParsedField) -> None:
        """Refuse a day that has not come yet."""
        refuse_to_come(field, self.today)

    def entry(self) -> WitnessEntry:
        """Give the checked witness board; only after `validate` found no error."""
        return WitnessEntry(
            board=self.board.data,
            place=self.place.data,
            species=self.species.data,
            thickness_mm=self.thickness_mm.data,
            known_dry_since=self.known_dry_since.data,
            note=self.note.data,
            uid=self.uid.data,
        )
