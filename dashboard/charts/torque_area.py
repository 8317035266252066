"""Torque profiles of whole groups: quiet lines, median and band in grey, the chosen piles in blue.

One panel per group. Depth is plotted as its negative, a level as it is; all lines are SVG. The
quiet lines of a panel are one trace: a trace per pile makes a browser crawl.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from core import units
from dashboard import theme
from dashboard.charts import chosen_profiles
from dashboard.charts import panels as sheet
from dashboard.charts.upright import Upright

MOST_HANDLES = 3000  # points that can be hovered and clicked; more make a browser crawl


@dataclass(frozen=True)
class Panel:
    """One group: readings of its quiet and of its chosen piles, its band, and the chosen piles.

    ``marks`` has one row per chosen pile, the pile itself last: subject, required_torque_nm,
    rated_torque_nm, first_disc_depth_mm, first_disc_level_m.
    """

    name: str
    quiet: pd.DataFrame
    chosen: pd.DataFrame
    marks: pd.DataFrame
    band: pd.DataFrame


def torque_by_group(panels: Sequence[Panel], along: str, system: str) -> go.Figure:
    """Profiles of each group over ``along``: depth_mm along the axis, or level_m."""
    figure = sheet.grid([panel.name for panel in panels])
    drawn = [part for panel in panels for part in (panel.quiet, panel.chosen, panel.band)]
    axis = Upright(along, system, pd.concat([part[along].astype(float) for part in drawn]))
    for place, panel in enumerate(panels):
        traces = [*_band(panel.band, axis), *_quiet(panel.quiet, axis)]
        traces += [*_median(panel.band, axis), *_handles(panel.quiet, axis)]
        traces += chosen_profiles.traces(panel.chosen, panel.marks, axis)
        sheet.fill(figure, place, traces)
    _axes(figure, len(panels), axis)
    return figure


def separated(readings: pd.DataFrame, axis: Upright) -> pd.DataFrame:
    """``readings`` ready to be one line: x, y, with an empty row between two piles."""
    frame = pd.DataFrame(
        {
            "pile_id": readings["pile_id"].to_numpy(dtype=object),
            "x": axis.torque(readings["torque_nm"]).to_numpy(dtype=float),
            "y": axis.place(readings[axis.along]).to_numpy(dtype=float),
            "counts": readings["counts"].to_numpy(dtype=bool),
        }
    )
    ends = np.flatnonzero(frame["pile_id"].ne(frame["pile_id"].shift())[1:]) + 0.5
    blank = pd.DataFrame({"pile_id": None, "x": np.nan, "y": np.nan, "counts": False}, index=ends)
    return pd.concat([frame, blank]).sort_index() if len(ends) else frame


def _quiet(readings: pd.DataFrame, axis: Upright) -> list[go.Scatter]:
    if readings.empty:
        return []
    rows = separated(readings, axis)
    beside = ~rows["counts"] & rows["y"].notna()
    idle = beside | beside.shift(fill_value=False) | beside.shift(-1, fill_value=False)
    found = []
    for name, shown, dash in (
        ("piles of the group", rows["counts"], "solid"),
        ("does not count", idle, "dot"),
    ):
        if (rows["x"].notna() & shown).any():
            found.append(
                go.Scatter(
                    x=rows["x"].where(shown), y=rows["y"], mode="lines", name=name, meta="quiet",
                    line={"color": theme.QUIET_LINE, "width": 1.2, "dash": dash},
                    hoverinfo="skip", showlegend=True,
                )
            )  # fmt: skip
    return found


def _handles(readings: pd.DataFrame, axis: Upright) -> list[go.Scatter]:
    """Unseen markers on the quiet lines: they name a pile when hovered, choose it when clicked."""
    rows = readings[readings["torque_nm"].notna()]
    rows = rows.iloc[:: -(-len(rows) // MOST_HANDLES) or 1]
    if rows.empty:
        return []
    return [
        go.Scatter(
            x=axis.torque(rows["torque_nm"]),
            y=axis.place(rows[axis.along]),
            customdata=axis.told(rows),
            mode="markers",
            meta="handles",
            marker={"size": 9, "color": theme.QUIET, "opacity": 0},
            selected={"marker": {"opacity": 0}},
            unselected={"marker": {"opacity": 0}},
            hovertemplate=axis.sentence,
            showlegend=False,
        )
    ]


def _band(band: pd.DataFrame, axis: Upright) -> list[go.Scatter]:
    known = band["low_torque_nm"].notna() & band["high_torque_nm"].notna()
    stretch = (known.ne(known.shift()) | band["stretch"].diff().ne(1)).cumsum()
    x: list[float] = []
    y: list[float] = []
    for _, part in band[known].groupby(stretch[known]):
        low, high = axis.torque(part["low_torque_nm"]), axis.torque(part["high_torque_nm"])
        at = axis.place(part[axis.along])
        x += [*low, *high[::-1], low.iloc[0], np.nan]
        y += [*at, *at[::-1], at.iloc[0], np.nan]
    if not x:
        return []
    return [
        go.Scatter(
            x=x, y=y, mode="lines", fill="toself", fillcolor=theme.BAND, line={"width": 0},
            name="band of the group, 10 to 90 %", meta="band", hoverinfo="skip", showlegend=True,
        )
    ]  # fmt: skip


def _median(band: pd.DataFrame, axis: Upright) -> list[go.Scatter]:
    if band["median_torque_nm"].isna().all():
        return []
    every = range(int(band["stretch"].min()), int(band["stretch"].max()) + 1)
    band = band.set_index("stretch").reindex(every)  # an empty stretch is a gap in the line
    return [
        go.Scatter(
            x=axis.torque(band["median_torque_nm"]),
            y=axis.place(band[axis.along]),
            customdata=band["piles"],
            mode="lines",
            name="median of the group",
            meta="median",
            line={"color": theme.QUIET, "width": 3, "dash": "dash"},
            hovertemplate=f"median of %{{customdata}} piles: %{{x:,.2f}} {axis.unit.symbol}"
            "<extra></extra>",
            showlegend=True,
        )
    ]


def _axes(figure: go.Figure, count: int, axis: Upright) -> None:
    single, rows = count == 1, sheet.rows_of(count)
    figure.update_yaxes(**axis.ticks(), **sheet.AXIS)
    figure.update_yaxes(title_text=axis.title, col=1)
    figure.update_xaxes(tickformat=",", side="top" if single else "bottom", **sheet.AXIS)
    figure.update_xaxes(range=[0, 1.08 * (_greatest(figure) or 1.0)], showticklabels=True)
    figure.update_xaxes(title_text=units.shown_name("torque_nm", axis.system), row=rows)
    sheet.lay_out(figure, count, 640, -0.04 if single else -0.18 / rows)


def _greatest(figure: go.Figure) -> float:
    found = [np.asarray(trace.x, dtype=float) for trace in figure.data if len(trace.x)]
    return max((float(np.nanmax(x)) for x in found if not np.isnan(x).all()), default=1.0)
