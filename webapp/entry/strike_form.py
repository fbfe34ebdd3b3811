"""The form that strikes a record out: only the reason."""

from webapp.entry import kinds
from webapp.entry.form import ParsedField, YardForm


class StrikeForm(YardForm):
    """Why a record does not count; empty means that it was entered by mistake."""

    why = ParsedField("Why?", kinds.LINE.read)
