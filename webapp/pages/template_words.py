"""What templates can say: gettext, and the words of states, numbers and days."""

from __future__ import annotations

from dataclasses import fields
from typing import TYPE_CHECKING

from webapp import wording
from webapp.charts.house_style import ChartWords
from webapp.drying.verdict import State

if TYPE_CHECKING:
    from flask import Flask

TROUBLED = frozenset({State.STALLED, State.GETTING_WETTER})


def register(app: Flask) -> None:
    """Give the templates gettext and our filters."""
    environment = app.jinja_env
    environment.trim_blocks = environment.lstrip_blocks = True
    environment.add_extension("jinja2.ext.i18n")
    environment.install_gettext_translations(wording.translation, newstyle=True)  # type: ignore[attr-defined]
    environment.globals["language"] = wording.language()
    environment.tests["troubled"] = TROUBLED.__contains__
    environment.filters.update(
        level=unbroken_level,
        percent=unbroken_percent,
        day=wording.full_day,
        days_ago=wording.days_ago,
        state_word=wording.state_word,
        state_meaning=wording.state_meaning,
        unbroken=unbroken,
    )


def unbroken(sentence: str) -> str:
    """Keep a number and its unit on one line."""
    return sentence.replace(" %", "\u00a0%").replace(" mm", "\u00a0mm")


def unbroken_percent(value: float) -> str:
    """Say a moisture content that no line break tears."""
    return unbroken(wording.percent(value))


def unbroken_level(value: float) -> str:
    """Say how moist wood is in a list, on one line."""
    return unbroken(wording.level(value))


def chart_words() -> ChartWords:
    """Return the words of a chart in the language of the pages."""
    return ChartWords(
        **{
            field.name: wording.translation.gettext(str(field.default))
            for field in fields(ChartWords)
        }
    )
