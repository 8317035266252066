"""The as-built place of one pile against its design, in plan at cut-off level, north up.

The figure has a fixed size so that a millimetre is as long eastward as northward.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin
from typing import Any

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from core import units
from dashboard import theme
from dashboard.literal import figure_text

SIZE = 440  # pixels of the square that holds the sketch
MARGIN = 10
STEPS = (1, 2, 5, 10, 20, 25, 50, 100, 200, 250, 500, 1000, 2000, 5000)
BAR_SHARE = 0.3  # of the sketch's width that the scale bar takes at most
MIN_MM = 20.0  # half the width that the sketch shows at least


@dataclass(frozen=True)
class Limit:
    """How far the pile may be off: a circle of this radius, or a square of twice this side."""

    max_mm: float = float("nan")
    per_axis: bool = False


def survey_sketch(
    surveys: pd.DataFrame, limit: Limit, azimuth_deg: float, system: str
) -> go.Figure:
    """The design point, the limit around it, and the pile as each survey found it.

    surveys: one row per survey: offset_east_mm, offset_north_mm, plan_offset_mm, survey_stage,
    judges; azimuth_deg: where the design toe points, NaN for an upright pile.
    """
    figure = go.Figure()
    rows = surveys.dropna(subset=["offset_east_mm", "offset_north_mm"])
    east, north = (
        units.shown_values(rows[name].astype(float), name, system)
        for name in ("offset_east_mm", "offset_north_mm")
    )
    reach, minimum = (
        float(units.shown_values(length, "plan_offset_mm", system))
        for length in (limit.max_mm, MIN_MM)
    )
    half = 1.3 * float(np.nanmax([minimum, reach, *east.abs(), *north.abs()]))
    _limit(figure, reach, limit.per_axis)
    _vector(figure, rows, east, north)
    for word, own, symbol in (
        ("as built, assessed", rows["is_assessed"], "circle"),
        ("as built, other surveys", ~rows["is_assessed"], "circle-open"),
    ):
        _points(figure, rows[own], (east[own], north[own]), (word, symbol), system)
    figure.add_trace(
        go.Scatter(
            x=[0], y=[0], mode="markers", name="design", meta="design", hoverinfo="skip",
            marker={"symbol": "cross-thin", "size": 18, "line": {"width": 2, "color": theme.QUIET}},
        )
    )  # fmt: skip
    _compass(figure, half, azimuth_deg)
    _scale_bar(figure, half, system)
    _frame(figure, half)
    return figure


def _limit(figure: go.Figure, reach: float, per_axis: bool) -> None:
    if np.isnan(reach):
        return
    line = {"color": theme.RATED, "width": 2.5, "dash": "dash"}
    figure.add_shape(
        type="rect" if per_axis else "circle", name="limit", line=line,
        x0=-reach, x1=reach, y0=-reach, y1=reach,
    )  # fmt: skip
    figure.add_trace(
        go.Scatter(x=[None], y=[None], mode="lines", name="limit", meta="limit", line=line)
    )


def _vector(figure: go.Figure, rows: pd.DataFrame, east: pd.Series, north: pd.Series) -> None:
    for place in rows.index[rows["is_assessed"]]:
        figure.add_annotation(
            x=east[place], y=north[place], ax=0, ay=0, axref="x", ayref="y", text="",
            showarrow=True, arrowhead=2, arrowwidth=2.5, arrowcolor=theme.PROFILE, standoff=7,
        )  # fmt: skip


def _points(
    figure: go.Figure,
    rows: pd.DataFrame,
    places: tuple[pd.Series, pd.Series],
    style: tuple[str, str],
    system: str,
) -> None:
    if rows.empty:
        return
    word, symbol = style
    labels = [
        f"{figure_text(stage)}<br>{units.text(offset, 'plan_offset_mm', system)} from the design"
        for stage, offset in zip(rows["survey_stage"], rows["plan_offset_mm"], strict=True)
    ]
    figure.add_trace(
        go.Scatter(
            x=places[0], y=places[1], mode="markers", name=word, meta=word, customdata=labels,
            marker={"symbol": symbol, "size": 12, "color": theme.PROFILE, "line": {"width": 2}},
            hovertemplate="%{customdata}<extra></extra>",
        )
    )  # fmt: skip


def _arrow(figure: go.Figure, tail: tuple[float, float], head: tuple[float, float]) -> None:
    figure.add_annotation(
        x=head[0], y=head[1], ax=tail[0], ay=tail[1], axref="x", ayref="y", text="",
        showarrow=True, arrowhead=2, arrowwidth=1.8, arrowcolor=theme.QUIET,
    )  # fmt: skip


def _compass(figure: go.Figure, half: float, azimuth_deg: float) -> None:
    """North at the top right; at the top left where the toe of a battered pile points."""
    _arrow(figure, (0.9 * half, 0.66 * half), (0.9 * half, 0.86 * half))
    words = [(0.9 * half, 0.93 * half, "N")]
    if not np.isnan(azimuth_deg):
        centre, arm = (-0.82 * half, 0.66 * half), 0.13 * half
        east, north = arm * sin(radians(azimuth_deg)), arm * cos(radians(azimuth_deg))
        _arrow(
            figure,
            (centre[0] - east, centre[1] - north),
            (centre[0] + east, centre[1] + north),
        )
        words.append((centre[0], 0.9 * half, "toe towards"))
    for x, y, word in words:
        figure.add_annotation(x=x, y=y, text=word, showarrow=False, font={"size": 13})


def _scale_bar(figure: go.Figure, half: float, system: str) -> None:
    long = max((step for step in STEPS if step <= BAR_SHARE * 2 * half), default=STEPS[0])
    left, low = -0.94 * half, -0.9 * half
    tick = 0.02 * half
    figure.add_trace(
        go.Scatter(
            x=[left, left, left, left + long, left + long, left + long],
            y=[low - tick, low + tick, low, low, low - tick, low + tick],
            mode="lines", meta="scale bar", showlegend=False, hoverinfo="skip",
            line={"color": theme.QUIET, "width": 2},
        )
    )  # fmt: skip
    symbol = units.shown_unit("plan_offset_mm", system).symbol
    figure.add_annotation(
        x=left + long / 2, y=low, text=f"{long:,} {symbol}", showarrow=False, yanchor="bottom",
        yshift=3, font={"size": 13},
    )  # fmt: skip


def _frame(figure: go.Figure, half: float) -> None:
    axis: dict[str, Any] = {
        "range": [-half, half], "showticklabels": False, "showgrid": False, "zeroline": True,
        "zerolinecolor": theme.GRID, "fixedrange": True, "showline": True, "mirror": True,
        "linecolor": theme.GRID,
    }  # fmt: skip
    figure.update_xaxes(**axis)
    figure.update_yaxes(**axis)
    figure.update_layout(
        width=SIZE + 2 * MARGIN,
        height=SIZE + 2 * MARGIN + 50,
        margin={"l": MARGIN, "r": MARGIN, "t": MARGIN, "b": MARGIN + 50, "autoexpand": False},
        font={"size": 14, "family": theme.FONT},
        legend={"orientation": "h", "y": 0, "yref": "container", "yanchor": "bottom", "x": 0},
        paper_bgcolor="rgba(0,0,0,0)",
        plot_bgcolor="rgba(0,0,0,0)",
        hovermode="closest",
    )
