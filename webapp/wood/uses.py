"""What wood is dried for, and how dry it has to be for it."""

from __future__ import annotations

import functools
from dataclasses import dataclass

from webapp.wood.tables import rows_of

# Why these: a target is the upper edge of what is fit. Outdoors a coating asks for less moisture
# than decay does, and who paints later does not sort the stack again. Indoors 8 % is both what
# most of the USA is advised and the upper edge of furniture's 6 to 8 %. For the kiln a stack
# only has to be past what stain and decay can do to it; how dry the kiln wants it, its keeper says.
_SENTENCES = {
    "outdoor use": "16 % is the most for wood that is to be painted or oiled. "
    "Bare wood does not decay at 20 % or less.",
    "heated room": "8 % suits furniture and most heated rooms. "
    "Where the air is very dry take 6 %, in damp warm country 11 %.",
    "kiln": "Below 20 % sap stain and decay stop, so the stack can wait for its turn in the kiln. "
    "Insects can still live in it.",
}
_FIT_FOR = {"outdoor use": "outdoor use", "heated room": "a heated room", "kiln": "the kiln"}
_ALSO_CALLED = {
    "outdoor": "outdoor use",
    "outdoors": "outdoor use",
    "indoors": "heated room",
    "a heated room": "heated room",
    "the kiln": "kiln",
}


@dataclass(frozen=True)
class UseFigure:
    """One printed figure about a use: a range, an upper or lower bound, or a mean, in percent."""

    situation: str
    low_pct: float | None
    mean_pct: float | None
    high_pct: float | None
    row: str
    source: str
    ref: str
    remembered: bool

    @property
    def where(self) -> str:
        """Where it stands: the source, and the place in it unless that names it already."""
        return self.source if self.ref in self.source else f"{self.source}, {self.ref}"


@dataclass(frozen=True)
class Use:
    """A use by its name, the percent that is fit for it, and where that stands.

    ``fit_for`` completes "fit for ..."; ``sentence`` tells how the percent was chosen.
    ``figures`` are all we have of it; those ``remembered`` could not be opened and set no target.
    """

    name: str
    fit_for: str
    target_pct: float
    sentence: str
    source: str
    figures: tuple[UseFigure, ...]


def use_named(text: str | None) -> Use | None:
    """Find the use that somebody's words mean; none where they are words of their own.

    Parameters
    ----------
    text : str or None
        What was typed, such as ``"heated room"``; case and spaces do not count.

    Returns
    -------
    Use or None
        The use with its target in percent of oven-dry mass.

    References
    ----------
    .. [1] The rows of uses.csv, each with its own source.

    Examples
    --------
    >>> use_named(" Heated  Room").target_pct
    8.0
    >>> use_named("music stands") is None
    True
    """
    words = " ".join((text or "").casefold().split())
    return _by_name().get(_ALSO_CALLED.get(words, words))


@functools.cache
def _by_name() -> dict[str, Use]:
    return {use.name: use for use in USES}


def _figure(row: dict[str, str]) -> UseFigure:
    low, mean, high = (
        float(row[column]) if row[column] else None
        for column in ("low_pct", "mean_pct", "high_pct")
    )
    return UseFigure(
        row["situation"], low, mean, high, row["row"], row["source"], row["ref"],
        remembered=row["seen"] != "seen",
    )  # fmt: skip


def _use(name: str, rows: list[dict[str, str]]) -> Use:
    [chosen] = (_figure(row) for row in rows if row["default"])
    return Use(
        name=name,
        fit_for=_FIT_FOR[name],
        target_pct=_target_pct(chosen),
        sentence=_SENTENCES[name],
        source=chosen.where,
        figures=tuple(_figure(row) for row in rows),
    )


def _target_pct(figure: UseFigure) -> float:
    edge = figure.high_pct if figure.mean_pct is None else figure.mean_pct
    if edge is None:
        raise ValueError(f"{figure.row} of uses.csv has no upper edge to be a target")
    return edge


def _uses() -> tuple[Use, ...]:
    rows = rows_of("uses.csv")
    return tuple(_use(name, [row for row in rows if row["use"] == name]) for name in _SENTENCES)


USES: tuple[Use, ...] = _uses()
"""Outdoor use, heated room, kiln: what a keeper can choose without a percent of their own."""
