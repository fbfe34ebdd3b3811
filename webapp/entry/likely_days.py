"""Days as forms take them: come already, and not so long ago that the year is likely mistyped."""

from datetime import date

from wtforms.validators import ValidationError

from webapp.entry.form import ParsedField

NOT_YET = "Expected today or a day before; this day has not come yet."
# No board lies on stickers for this long; a year mistyped by a century does.
MOST_YEARS = 20


def refuse_to_come(field: ParsedField, today: date) -> None:
    """Refuse a day that has not come yet."""
    if field.data is not None and field.data > today:
        raise ValidationError(NOT_YET)


def refuse_unlikely(field: ParsedField, today: date) -> None:
    """Refuse a day that has not come yet, or whose year is likely a slip."""
    refuse_to_come(field, today)
    if field.data is not None and field.data.year < today.year - MOST_YEARS:
        year = field.data.year
        raise ValidationError(
            f"Expected a day within the last {MOST_YEARS} years; is the year {year} right?"
        )
