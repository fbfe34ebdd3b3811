"""The form of own air records: lines pasted, or a file; all of them are kept, or none."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from wtforms import BooleanField

from webapp.entry.air_moments import DayOrder
from webapp.entry.air_text import AirText, MeasuredAir, read_air
from webapp.entry.fields import choice
from webapp.entry.form import ChoiceField, TextField, YardForm
from webapp.entry.temperatures import bare_scale

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from webapp.entry.form import SentFields
    from webapp.look import Units

ORDER_WORDS = (
    (DayOrder.YEAR_FIRST.value, "year first, as 2024-05-31"),
    (DayOrder.DAY_FIRST.value, "day, month, year, as 31/05/2024"),
    (DayOrder.MONTH_FIRST.value, "month, day, year, as 5/31/2024"),
)
HOTTEST_C, COLDEST_C = 60.0, -45.0
"""Air beyond these is asked about, degC; a chamber or a heated room may be hotter."""
DRIEST_PCT = 2.0
"""Air drier than this is asked about, percent: a hygrometer that fails shows 0."""
_MAY_BE_HOT = frozenset({"heated", "chamber"})


class AirForm(YardForm):
    """Own air records as pasted; a file's text takes the place of the lines."""

    lines = TextField("Lines", str)
    order = ChoiceField(
        "Days are written",
        lambda text: DayOrder(choice(text, list(DayOrder))),
        ORDER_WORDS,
        needed=True,
    )
    sure = BooleanField("It is right; save it as it stands")

    def __init__(
        self,
        formdata: SentFields | None = None,
        *,
        units: Units,
        data: Mapping[str, Any] | None = None,
    ) -> None:
        super().__init__(formdata, data=data, units=units)
        self.read = AirText()

    def take(self, text: str, place: str, today: date) -> bool:
        """Read the lines; what is wrong is listed in `read.refusals`, and nothing is taken."""
        if self.order.data is None:
            return False
        self.read = read_air(
            text, bare=bare_scale(self.units), order=self.order.data, place=place, latest=today
        )
        return bool(self.read.measured) and not self.read.refusals

    def question(self, kind: str) -> str | None:
        """Ask about air that such a place hardly has, unless it was said to be right."""
        if self.sure.data:
            return None
        odd = [one for one in self.read.measured if _is_odd(one, kind)]
        if not odd:
            return None
        told = f"Line {odd[0].line} tells of {odd[0].temperature_c:.3g} °C and {odd[0].rh_pct:g} %"
        more = f", and {len(odd) - 1} more are as odd" if len(odd) > 1 else ""
        return f"{told}{more}. If the temperatures are in °F, write F behind them or in their head."


def _is_odd(one: MeasuredAir, kind: str) -> bool:
    hot = one.temperature_c > HOTTEST_C and kind not in _MAY_BE_HOT
    return hot or one.temperature_c < COLDEST_C or one.rh_pct < DRIEST_PCT
