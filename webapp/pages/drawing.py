"""A chart on its way to a page: the figure as data, and what its key must explain."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import TYPE_CHECKING

from markupsafe import Markup

from webapp.charts.house_style import recolouring

if TYPE_CHECKING:
    from collections.abc import Collection

    import plotly.graph_objects as go

    from webapp.yard.picture_stack import StackPicture


@dataclass(frozen=True)
class Drawing:
    """What the chart part of a page needs."""

    figure: Markup
    dark_colours: str
    label: str
    has_boards: bool
    has_target: bool
    has_witness: bool
    has_over: bool
    has_doubtful: bool


def drawing_of(
    figure: go.Figure, picture: StackPicture, label: str, boards: Collection[str]
) -> Drawing:
    """Prepare a figure for its page."""
    readings = [reading for reading in picture.readings if reading.board in boards]
    return Drawing(
        figure=_as_data(figure),
        dark_colours=json.dumps(recolouring()),
        label=label,
        has_boards=bool(boards),
        has_target=picture.target_pct is not None,
        has_witness=bool(picture.witness),
        has_over=any(reading.over for reading in readings),
        has_doubtful=any(reading.doubtful for reading in readings),
    )


def _as_data(figure: go.Figure) -> Markup:
    # In a script element only "<" could end the data early; JSON may write it as an escape.
    return Markup(str(figure.to_json()).replace("<", "\\u003c"))  # noqa: S704  escaped just so
