"""Grout take of whole groups: quiet lines, the chosen piles in blue and named, what is asked.

One panel per group. A lift's volume is drawn at the depth the toe had reached, which is not where
the grout stayed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import pandas as pd
import plotly.graph_objects as go
from plotly.subplots import make_subplots

from core import units
from dashboard import theme
from dashboard.charts import take_lines
from dashboard.charts.take_lines import VIEWS
from dashboard.charts.upright import Upright

COLUMNS = 3
Drawn = list[tuple["Panel", pd.DataFrame, pd.DataFrame]]


@dataclass(frozen=True)
class Panel:
    """One group: lifts of its quiet and of its chosen piles, and the limits that they share.

    ``chosen`` names the piles in the order of their choice, the pile itself last.
    """

    name: str
    quiet: pd.DataFrame
    bold: pd.DataFrame
    chosen: Sequence[str]
    limits: Mapping[str, float]


def take_by_group(panels: Sequence[Panel], over: str, system: str) -> go.Figure:
    """Take of each group in one of `VIEWS`."""
    single = len(panels) == 1
    columns = min(len(panels), COLUMNS)
    rows = -(-len(panels) // columns)
    figure = make_subplots(
        rows=rows,
        cols=columns,
        shared_xaxes="all",
        shared_yaxes="all",
        horizontal_spacing=0.03,
        vertical_spacing=0.2 / rows,
        subplot_titles=None if single else [panel.name for panel in panels],
    )
    parts = [part for panel in panels for part in (panel.quiet, panel.bold)]
    axis = Upright("depth_mm", system, pd.concat([part["reach_mm"] for part in parts]))
    drawn: Drawn = [
        (one, *(take_lines.points(part, over, axis) for part in (one.quiet, one.bold)))
        for one in panels
    ]
    ends = _ends(drawn, over)
    for place, (panel, quiet, bold) in enumerate(drawn):
        traces = [*take_lines.quiet(quiet), *take_lines.asked(panel.limits, over, axis, ends)]
        traces += [*take_lines.handles(quiet, over), *take_lines.bold(bold, panel.chosen, over)]
        for trace in traces:
            trace.showlegend = bool(trace.showlegend) and _first(figure, trace)
            figure.add_trace(trace, row=place // columns + 1, col=place % columns + 1)
    _axes(figure, rows if not single else 0, over, axis, ends)
    return figure


def _first(figure: go.Figure, trace: go.Scatter) -> bool:
    return all(other.name != trace.name for other in figure.data)


def _ends(drawn: Drawn, over: str) -> tuple[float, float]:
    """Greatest x and y that the figure has to hold, limits of a ratio included."""
    points = pd.concat([part[["x", "y"]] for _, *parts in drawn for part in parts])
    x, y = points.astype(float).max().fillna(1.0)
    if over == "net":
        return 1.12 * x, 1.08 * y
    limits = [one.limits.get(name, 1.0) for one, *_ in drawn for name, _ in take_lines.ASKED[over]]
    return 1.08 * max(x, 1.0, *limits), 0.0


def _axes(
    figure: go.Figure, rows: int, over: str, axis: Upright, ends: tuple[float, float]
) -> None:
    """``rows`` of panels; a single panel when 0."""
    plain = {"gridcolor": theme.GRID, "zeroline": False, "title_font": {"size": 15}}
    if over == "net":
        symbol = units.shown_unit("net_l", axis.system).symbol
        figure.update_yaxes(**plain, range=[0, ends[1]], tickformat=",")
        figure.update_yaxes(title_text=f"cumulative net grout [{symbol}]", col=1)
        title = f"cumulative theoretical void [{symbol}]"
    else:
        figure.update_yaxes(**axis.ticks(), **plain)
        figure.update_yaxes(title_text=axis.title.replace("depth", "depth of the toe"), col=1)
        title = VIEWS[over]
    single, rows = not rows, max(rows, 1)
    side = "top" if single and over != "net" else "bottom"
    figure.update_xaxes(**plain, range=[0, ends[0]], side=side, showticklabels=True)
    figure.update_xaxes(title_text=title, row=rows)
    figure.update_layout(
        height=560 if single else 400 * rows,
        margin={"l": 60, "r": 20, "t": 60, "b": 20},
        font={"size": 14, "family": theme.FONT},
        legend={"orientation": "h", "yanchor": "top", "x": 0, "font": {"size": 14}},
        legend_y=-0.04 if side == "top" else -0.18 / rows,
        paper_bgcolor="rgba(0,0,0,0)",
        plot_bgcolor="rgba(0,0,0,0)",
        hovermode="closest",
        dragmode="zoom",
    )
