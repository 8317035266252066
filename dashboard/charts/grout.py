"""Grout take of whole groups: quiet lines, the chosen piles in blue and named, what is asked.

One panel per group. A lift's volume is drawn at the depth the toe had reached, which is not where
the grout stayed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import pandas as pd
import plotly.graph_objects as go

from core import units
from dashboard.charts import panels as sheet
from dashboard.charts import take_lines
from dashboard.charts.take_lines import VIEWS
from dashboard.charts.upright import Upright

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
    figure = sheet.grid([panel.name for panel in panels])
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
        sheet.fill(figure, place, traces)
    _axes(figure, len(panels), over, axis, ends)
    return figure


def _ends(drawn: Drawn, over: str) -> tuple[float, float]:
    """Greatest x and y that the figure has to hold, limits of a ratio included."""
    points = pd.concat([part[["x", "y"]] for _, *parts in drawn for part in parts])
    x, y = points.astype(float).max().fillna(1.0)
    if over == "net":
        return 1.12 * x, 1.08 * y
    limits = [one.limits.get(name, 1.0) for one, *_ in drawn for name, _ in take_lines.ASKED[over]]
    return 1.08 * max(x, 1.0, *limits), 0.0


def _axes(
    figure: go.Figure, count: int, over: str, axis: Upright, ends: tuple[float, float]
) -> None:
    if over == "net":
        symbol = units.shown_unit("net_l", axis.system).symbol
        figure.update_yaxes(**sheet.AXIS, range=[0, ends[1]], tickformat=",")
        figure.update_yaxes(title_text=f"cumulative net grout [{symbol}]", col=1)
        title = f"cumulative theoretical void [{symbol}]"
    else:
        figure.update_yaxes(**axis.ticks(), **sheet.AXIS)
        figure.update_yaxes(title_text=axis.title.replace("depth", "depth of the toe"), col=1)
        title = VIEWS[over]
    rows = sheet.rows_of(count)
    side = "top" if count == 1 and over != "net" else "bottom"
    figure.update_xaxes(**sheet.AXIS, range=[0, ends[0]], side=side, showticklabels=True)
    figure.update_xaxes(title_text=title, row=rows)
    sheet.lay_out(figure, count, 560, -0.04 if side == "top" else -0.18 / rows)
