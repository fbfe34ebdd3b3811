"""What the forms of things that stand at a place share: the day it is, and the places to choose."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from webapp.entry.form import ChoiceField, SentFields, YardForm
from webapp.look import Units


class PlacedForm(YardForm):
    """A form with a choice of place; its classes say what the place is called."""

    place: ChoiceField

    def __init__(
        self,
        formdata: SentFields | None = None,
        *,
        today: date,
        places: Sequence[str],
        data: Mapping[str, Any] | None = None,
        units: Units = Units.METRIC,
    ) -> None:
        super().__init__(formdata, data=data, units=units)
        self.today = today
        self.place.choices = [(name, name) for name in places]
