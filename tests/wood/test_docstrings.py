"""Every public function of the package says its units and its source."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
from typing import TYPE_CHECKING

import pytest

import webapp.wood

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

UNIT = re.compile(
    r"\b(degC|degF|percent|points|mm|millimetres|inches|m3|cubic metres|board feet|kg|g|Pa|units)\b"
)
SOURCE = re.compile(r"References\n|[Ss]ource")
PLUMBING = {"webapp.wood.arrays", "webapp.wood.words"}


def public_functions() -> Iterator[tuple[str, Callable[..., object]]]:
    for info in pkgutil.iter_modules(webapp.wood.__path__, "webapp.wood."):
        module = importlib.import_module(info.name)
        for name, found in inspect.getmembers(module, callable):
            own = getattr(found, "__module__", "") == info.name and not inspect.isclass(found)
            if own and not name.startswith("_") and info.name not in PLUMBING:
                yield f"{info.name}.{name}", found


def test_there_are_functions_to_look_at() -> None:
    assert len(list(public_functions())) > 30


@pytest.mark.parametrize(("name", "function"), [*public_functions()])
def test_the_docstring_names_units_and_a_source(name: str, function: Callable[..., object]) -> None:
    text = inspect.getdoc(function) or ""
    assert UNIT.search(text), name
    assert SOURCE.search(text), name
