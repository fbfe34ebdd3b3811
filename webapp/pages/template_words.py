"""What templates can say: gettext, and the words of states, numbers and days."""

from __future__ import annotations

import json
import re
from dataclasses import fields
from typing import TYPE_CHECKING, Any

from flask import get_flashed_messages
from jinja2 import pass_context

from webapp import sizes, wording
from webapp.charts.house_style import ChartWords
from webapp.drying.verdict import State
from webapp.entry.temperatures import temperature_text
from webapp.look import Dates
from webapp.pages.request_context import look
from webapp.records.record import new_uid

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import date

    from flask import Flask
    from jinja2.runtime import Context

_BEFORE_UNIT = re.compile(
    r"(?<=[0-9]) (?=(?:%|mm|cm|m|m³|kg|g|in|ft|lb|bd ft|°C|°F)(?!\w)"
    r"|[0-9]{1,2}/[0-9]{1,2}(?![0-9/]))"
)
CHART_DAYS = {
    Dates.DAY_FIRST: "%-d %b %Y",
    Dates.MONTH_FIRST: "%b %-d, %Y",
    Dates.ISO: "%Y-%m-%d",
}
TROUBLED = frozenset({State.STALLED, State.GETTING_WETTER})


def register(app: Flask) -> None:
    """Give the templates gettext and our filters."""
    environment = app.jinja_env
    environment.trim_blocks = environment.lstrip_blocks = True
    environment.add_extension("jinja2.ext.i18n")
    environment.install_gettext_translations(wording.translation, newstyle=True)  # type: ignore[attr-defined]
    environment.globals["language"] = wording.language()
    environment.globals["fresh_key"] = new_uid
    environment.globals["told"] = told
    environment.tests["served"] = app.view_functions.__contains__
    environment.tests["troubled"] = TROUBLED.__contains__
    environment.filters.update(
        level=unbroken_level,
        percent=unbroken_percent,
        day=_each_time(day_words),
        days_ago=wording.days_ago,
        size=_each_time(size_words),
        state_word=wording.state_word,
        state_meaning=wording.state_meaning,
        temperature=_each_time(temperature_words),
        translated=wording.translation.gettext,
        unbroken=unbroken,
    )


def _each_time(filter_: Callable[..., str]) -> Callable[..., str]:
    """Keep a filter from being asked once for all when a template is read: looks differ."""

    @pass_context
    def asked(_context: Context, *arguments: Any, **options: Any) -> str:
        return filter_(*arguments, **options)

    return asked


def told() -> list[dict[str, Any]]:
    """List what the page before wants said here, each with the batch that an Undo takes back."""
    return [json.loads(str(message)) for message in get_flashed_messages()]


def unbroken(sentence: str) -> str:
    """Keep a number, its fraction and its unit on one line."""
    return _BEFORE_UNIT.sub("\u00a0", sentence).replace("bd ft", "bd\u00a0ft")


def day_words(day: date) -> str:
    """Say a day in the order that whoever is at the page likes."""
    return sizes.day_words(day, look().dates)


def size_words(mm: float, *, long: bool = False) -> str:
    """Say a size in the units that whoever is at the page likes, on one line."""
    return unbroken(sizes.size_words(mm, look().units, long=long))


def unbroken_percent(value: float) -> str:
    """Say a moisture content that no line break tears."""
    return unbroken(wording.percent(value))


def unbroken_level(value: float) -> str:
    """Say how moist wood is in a list, on one line."""
    return unbroken(wording.level(value))


def temperature_words(temperature_c: float) -> str:
    """Say a temperature in the scale that whoever is at the page likes, on one line."""
    return unbroken(temperature_text(temperature_c, look().units))


def chart_words() -> ChartWords:
    """Return the words of a chart in the language of the pages, days as they are liked."""
    words = {
        field.name: wording.translation.gettext(str(field.default)) for field in fields(ChartWords)
    }
    return ChartWords(**words | {"day": CHART_DAYS[look().dates]})
