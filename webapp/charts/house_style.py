"""How our charts look: colours by role in light and dark, type, axes and words."""

from __future__ import annotations

from dataclasses import asdict, dataclass

import plotly.graph_objects as go

FONT = "system-ui, -apple-system, 'Segoe UI', Roboto, 'Noto Sans', sans-serif"
FONT_SIZE = 14
THIN, LINE, BOLD = 1.25, 2.0, 3.0
TOP_MARGIN, ROW_HEIGHT = 26, 19  # of the words above the chart


@dataclass(frozen=True)
class Palette:
    """Colours by what they stand for; a figure is made in LIGHT and recoloured by role."""

    sheet: str
    ink: str
    grid: str
    pencil: str
    band: str
    place: str
    target: str
    witness: str


LIGHT = Palette(
    sheet="#fffdf7",
    ink="#221e19",
    grid="#ddd3bf",
    pencil="#7a7264",
    band="rgba(122,114,100,0.22)",
    place="#0f5c82",
    target="#8c2318",
    witness="#2f6a2b",
)
DARK = Palette(
    sheet="#23201b",
    ink="#f3ecdd",
    grid="#4a4438",
    pencil="#aaa08d",
    band="rgba(170,160,141,0.26)",
    place="#7cc4ea",
    target="#ffab98",
    witness="#9bd48f",
)


@dataclass(frozen=True)
class ChartWords:
    """The words in a chart, in English; the pages hand in translated ones.

    `day` is how a day is written, in the signs of d3-time-format.
    """

    moisture: str = "moisture, %"
    today: str = "today"
    target: str = "target"
    place: str = "this place keeps wood at"
    likely: str = "likely between"
    witness: str = "witness board"
    shown: str = "meter showed"
    over: str = "over the meter's range"
    under: str = "under the meter's range"
    doubtful: str = "doubtful"
    day: str = "%-d %b %Y"


ENGLISH = ChartWords()


def recolouring() -> dict[str, str]:
    """Return each light colour with the dark one that stands for the same."""
    return {light: asdict(DARK)[role] for role, light in asdict(LIGHT).items()}


def plain_text(text: str) -> str:
    """Write what people typed so that Plotly takes no part of it for markup or for a value."""
    signs = (("&", "&amp;"), ("<", "&lt;"), ("%{", "%&#123;"))
    for sign, written in signs:
        text = text.replace(sign, written)
    return text


def new_figure(words: ChartWords) -> go.Figure:
    """Return an empty figure in our style, without Plotly's own template."""
    axis = {
        "gridcolor": LIGHT.grid,
        "linecolor": LIGHT.ink,
        "tickfont": {"size": FONT_SIZE},
        "zeroline": False,
    }
    return go.Figure(
        layout={
            "template": go.layout.Template(),
            "font": {"family": FONT, "size": FONT_SIZE, "color": LIGHT.ink},
            "paper_bgcolor": LIGHT.sheet,
            "plot_bgcolor": LIGHT.sheet,
            "margin": {"l": 38, "r": 10, "t": TOP_MARGIN, "b": 46},
            "showlegend": False,  # the key stands beside the chart, as text
            "hovermode": "closest",
            "hoverlabel": {
                "bgcolor": LIGHT.sheet,
                "bordercolor": LIGHT.ink,
                "font": {"size": FONT_SIZE, "color": LIGHT.ink},
            },
            "xaxis": {
                **axis,
                "type": "date",
                "nticks": 7,
                "ticks": "outside",
                "tickformat": "%b<br>%Y",
                "tickangle": 0,
                "showline": True,
            },
            "yaxis": {**axis, "rangemode": "tozero"},
            "annotations": [
                {
                    "text": words.moisture,
                    "xref": "paper",
                    "yref": "paper",
                    "x": 0,
                    "y": 1,
                    "xanchor": "left",
                    "yanchor": "bottom",
                    "xshift": -36,
                    "yshift": 0,
                    "showarrow": False,
                }
            ],
        }
    )
