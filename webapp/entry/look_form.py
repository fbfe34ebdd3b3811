"""The form of a person's look: two questions, and where to go back to."""

from webapp.entry.fields import choice
from webapp.entry.form import ChoiceField, ParsedField, YardForm
from webapp.look import Dates, Look, Units

UNIT_WORDS = (
    (Units.METRIC.value, "millimetres, metres, cubic metres, kilograms, °C"),
    (Units.INCH.value, "inches, feet, board feet, pounds, °F"),
)
DATE_WORDS = (
    (Dates.DAY_FIRST.value, "the day first"),
    (Dates.MONTH_FIRST.value, "the month first"),
    (Dates.ISO.value, "the year first, in figures"),
)


def _units(text: str) -> str:
    return choice(text, tuple(Units))


def _dates(text: str) -> str:
    return choice(text, tuple(Dates))


class LookForm(YardForm):
    """How sizes and days are to be written."""

    sizes = ChoiceField("Sizes, weights and temperatures", _units, UNIT_WORDS, needed=True)
    days = ChoiceField("Days", _dates, DATE_WORDS, needed=True)
    back = ParsedField("Back to", str)

    def entry(self) -> Look:
        """Give the checked look; only after `validate` found no error."""
        return Look(Units(self.sizes.data), Dates(self.days.data))
