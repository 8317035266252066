"""Panels side by side, one per group, on shared axes and with one legend for all."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import plotly.graph_objects as go
from plotly.subplots import make_subplots

from dashboard import theme
from dashboard.literal import figure_text

COLUMNS = 3
AXIS = {"gridcolor": theme.GRID, "zeroline": False, "title_font": {"size": 15}}


def rows_of(count: int) -> int:
    """How many rows ``count`` panels take."""
    return -(-count // COLUMNS)


def grid(names: Sequence[str]) -> go.Figure:
    """An empty panel per name; a single one needs no title."""
    rows = rows_of(len(names))
    return make_subplots(
        rows=rows,
        cols=min(len(names), COLUMNS),
        shared_xaxes="all",
        shared_yaxes="all",
        horizontal_spacing=0.03,
        vertical_spacing=0.2 / rows,
        subplot_titles=None if len(names) == 1 else [figure_text(name) for name in names],
    )


def fill(figure: go.Figure, place: int, traces: Iterable[go.Scatter]) -> None:
    """Draw ``traces`` in the panel at ``place``; a name stands in the legend once."""
    for trace in traces:
        first = all(other.name != trace.name for other in figure.data)
        trace.showlegend = bool(trace.showlegend) and first
        figure.add_trace(trace, row=place // COLUMNS + 1, col=place % COLUMNS + 1)


def set_layout(figure: go.Figure, count: int, tall: int, legend_y: float) -> None:
    """Size, margins and legend of ``count`` panels; ``tall`` is the height of a single one."""
    figure.update_layout(
        height=tall if count == 1 else 400 * rows_of(count),
        margin={"l": 60, "r": 20, "t": 60, "b": 20},
        font={"size": 14, "family": theme.FONT},
        legend={"orientation": "h", "yanchor": "top", "x": 0, "font": {"size": 14}},
        legend_y=legend_y,
        paper_bgcolor="rgba(0,0,0,0)",
        plot_bgcolor="rgba(0,0,0,0)",
        hovermode="closest",
        dragmode="zoom",
    )
