"""The layers our charts are laid up from, each a trace or a line with its label."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import plotly.graph_objects as go

from webapp.charts.house_style import BOLD, LIGHT, LINE, THIN, plain_text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from webapp.charts.house_style import ChartWords
    from webapp.yard.picture_stack import PictureReading, StackPicture

    Numbers = NDArray[np.floating[Any]]

SYMBOLS = ("circle", "square", "diamond", "cross", "pentagon", "star", "hexagon2", "hourglass")
OVER, UNDER, DOUBTFUL = "triangle-up-open", "triangle-down-open", "x-thin-open"
TOP_PCT = 40.0  # above this no meter tells; curves of wet wood run out of the top
HEADROOM_PCT = 3.0


def timeline(days: NDArray[np.datetime64]) -> dict[str, Any]:
    """Return a trace's days: a start and a step where they are even, which keeps pages small."""
    days = days.astype("datetime64[D]")
    steps = np.unique(np.diff(days))
    if len(steps) == 1:
        step_ms = steps[0] / np.timedelta64(1, "ms")
        return {"x0": str(days[0]), "dx": float(step_ms)}
    return {"x": days.astype(str).tolist()}


def curve(days: NDArray[np.datetime64], pct: Numbers, **style: object) -> go.Scatter:
    """Return a line through the days; tenths of a point are as fine as a screen shows."""
    return go.Scatter(
        **timeline(days), y=np.round(pct, 2).astype(np.float32), mode="lines", **style
    )


def band(days: NDArray[np.datetime64], low: Numbers, high: Numbers) -> list[go.Scatter]:
    """Return the likely range as a tinted band."""
    edge = {"width": 0, "color": LIGHT.pencil}
    return [
        curve(days, low, line=edge, hoverinfo="skip", name="low"),
        curve(
            days,
            high,
            line=edge,
            hoverinfo="skip",
            name="likely",
            fill="tonexty",
            fillcolor=LIGHT.band,
        ),
    ]


def place_line(picture: StackPicture, words: ChartWords) -> go.Scatter:
    """Return what this place's air keeps wood at, through the year."""
    return curve(
        picture.days,
        picture.equilibrium,
        name="place",
        line={"color": LIGHT.place, "width": LINE, "dash": "dash"},
        hovertemplate=_told(words.place, words),
    )


def board_lines(
    picture: StackPicture, mark: str, words: ChartWords, *, bold: bool
) -> list[go.Scatter]:
    """Return a board's fitted curve: drawn through until today, dotted ahead."""
    mean = picture.curves[mark][0]
    today = np.datetime64(picture.as_of, "D")
    colour = LIGHT.ink if bold else LIGHT.pencil
    width = BOLD if bold else THIN
    past = picture.days <= today
    ahead = picture.days >= (picture.days[past][-1] if past.any() else today)
    return [
        curve(
            picture.days[part],
            mean[part],
            name=mark,
            meta={"board": mark},
            line={"color": colour, "width": width, "dash": dash},
            hovertemplate=_told(mark, words),
        )
        for part, dash in ((past, "solid"), (ahead, "dot"))
        if part.any()
    ]


def reading_marks(
    readings: Sequence[PictureReading], mark: str, turn: int, words: ChartWords, *, bold: bool
) -> go.Scatter:
    """Return a board's corrected readings; over and under range as open arrows at the limit."""
    plain = SYMBOLS[turn % len(SYMBOLS)]
    return go.Scatter(
        x=[reading.on.isoformat() for reading in readings],
        y=[round(reading.corrected_pct, 2) for reading in readings],
        customdata=[plain_text(f"{words.shown} {r.shown}{_remark(r, words)}") for r in readings],
        mode="markers",
        name=mark,
        meta={"board": mark},
        marker={
            "symbol": [_symbol(reading, plain) for reading in readings],
            "size": 10 if bold else 7,
            "color": LIGHT.ink if bold else LIGHT.pencil,
            "line": {"color": LIGHT.ink, "width": 1.5},
        },
        hovertemplate=_told(mark, words, ", %{customdata}"),
    )


def witness_marks(picture: StackPicture, words: ChartWords) -> go.Scatter:
    """Return what the witness board beside the stack was read at."""
    return go.Scatter(
        x=[on.isoformat() for on, _pct in picture.witness],
        y=[round(pct, 2) for _on, pct in picture.witness],
        mode="lines+markers",
        name="witness",
        line={"color": LIGHT.witness, "width": THIN, "dash": "dashdot"},
        marker={
            "symbol": "diamond-open",
            "size": 11,
            "color": LIGHT.witness,
            "line": {"color": LIGHT.witness, "width": 2},
        },
        hovertemplate=_told(words.witness, words),
    )


def draw_target(figure: go.Figure, target_pct: float, words: ChartWords) -> None:
    """Rule the target across the chart."""
    figure.add_hline(
        y=target_pct,
        line={"color": LIGHT.target, "width": LINE},
        annotation={
            "text": f"{words.target} {target_pct:g} %",
            "font": {"color": LIGHT.target},
            "bgcolor": LIGHT.sheet,
        },
        annotation_position="bottom left",
    )


def moisture_range(picture: StackPicture, marks: Sequence[str]) -> tuple[float, float]:
    """Return the span of moisture worth showing for some boards."""
    levels = [picture.equilibrium, *(picture.curves[mark][0] for mark in marks)]
    read = [r.corrected_pct for r in picture.readings if r.board in marks]
    read += [pct for _on, pct in picture.witness]
    read += [] if picture.target_pct is None else [picture.target_pct]
    every = np.concatenate([*levels, np.asarray(read, dtype=float)])
    every = every[np.isfinite(every)]
    if not every.size:
        return 0.0, TOP_PCT
    low = max(0.0, float(every.min()) - HEADROOM_PCT)
    return low, min(TOP_PCT, float(every.max()) + HEADROOM_PCT)


def _told(what: str, words: ChartWords, more: str = "") -> str:
    """Say what is told of a point: whose it is, its moisture, and its day below."""
    return f"{plain_text(what)} %{{y:.1f}} %{more}<br>%{{x|{words.day}}}<extra></extra>"


def _symbol(reading: PictureReading, plain: str) -> str:
    if reading.over:
        return OVER
    if reading.under:
        return UNDER
    return DOUBTFUL if reading.doubtful else plain


def _remark(reading: PictureReading, words: ChartWords) -> str:
    if reading.over:
        return f", {words.over}"
    if reading.under:
        return f", {words.under}"
    return f", {words.doubtful}" if reading.doubtful else ""
