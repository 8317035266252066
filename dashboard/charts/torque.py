"""Torque against depth: the profile of one pile, and the profiles of whole groups.

Depth is plotted as its negative with relabelled ticks and SVG lines: lines drawn with WebGL on a
reversed axis come out flat. The quiet lines of a panel are one trace: a trace per pile makes a
browser crawl.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from core import units
from dashboard import theme
from dashboard.charts import panels as sheet
from dashboard.charts.depth_axis import DepthAxis, ticks_downward
from dashboard.literal import figure_text

# Sign, colour and size of what is written beside a reading, by what it means.
EVENT_SIGNS = {
    "critical": ("x", theme.OBJECTION, 11),
    "other": ("diamond-open", theme.QUIET, 10),
    "neutral": ("line-ew-open", theme.QUIET, 10),
}
EVENT_NAMES = {"critical": "event", "other": "other text", "neutral": "extension, disc, pause"}
LONGEST_TEXT = 30


@dataclass(frozen=True)
class Marks:
    """What is drawn beside the readings; NaN where it is not recorded or not set."""

    required_torque_nm: float = float("nan")
    required_by: str = ""  # printed, computed, or which is the greater
    rated_torque_nm: float = float("nan")
    toe_mm: float = float("nan")
    window_mm: float = float("nan")
    first_disc_depth_mm: float = float("nan")


def torque_against_depth(readings: pd.DataFrame, marks: Marks, system: str) -> go.Figure:
    """Readings of one pile with its required and rated lines and its final window.

    readings: one row per reading: run_no, depth_mm, torque_nm, range, counts, bound_torque_nm,
    of_header, event and event_sort. Readings that do not count are hollow; those outside the
    calibrated range are arrows; the final reading of a run's header has a ring of its own; what
    was written beside a reading stands beside its mark.
    """
    figure = go.Figure()
    shown = readings.assign(
        depth=-units.shown_values(readings["depth_mm"].astype(float), "depth_mm", system),
        torque=units.shown_values(readings["torque_nm"], "torque_nm", system),
        bound=units.shown_values(readings["bound_torque_nm"], "torque_nm", system),
    )
    bottom = _bottom(readings, marks)
    _window(figure, marks, system)
    for rank, (run_no, run) in enumerate(shown.groupby("run_no", sort=False)):
        figure.add_trace(_run_line(run, figure_text(run_no), rank, system))
    _hollow(figure, shown)
    _of_headers(figure, shown)
    _out_of_range(figure, shown, system)
    _events(figure, shown)
    _limit(figure, marks.required_torque_nm, "required", bottom, system, marks.required_by)
    _limit(figure, marks.rated_torque_nm, "rated", bottom, system)
    _disc(figure, marks.first_disc_depth_mm, system)
    _axes(figure, bottom, system)
    _room(figure)
    return figure


def _bottom(readings: pd.DataFrame, marks: Marks) -> float:
    deepest = readings["depth_mm"].max() if len(readings) else np.nan
    known = [value for value in (deepest, marks.toe_mm) if pd.notna(value)]
    return float(max(known, default=1000.0))


def _run_line(run: pd.DataFrame, run_no: str, rank: int, system: str) -> go.Scatter:
    counted = run["counts"].astype(bool)
    depth, torque = units.shown_unit("depth_mm", system), units.shown_unit("torque_nm", system)
    return go.Scatter(
        x=run["torque"],
        y=run["depth"],
        customdata=-run["depth"],
        mode="lines+markers",
        name=f"run {run_no}",
        meta="profile",
        connectgaps=False,
        line={"color": theme.PROFILE, "width": 2.5, "dash": theme.DASHES[rank % len(theme.DASHES)]},
        marker={
            "symbol": theme.SYMBOLS[rank % len(theme.SYMBOLS)],
            "size": np.where(counted, 7, 1),
            "color": theme.PROFILE,
        },
        hovertemplate=(
            f"%{{customdata:.2f}} {depth.symbol}: %{{x:,.{torque.decimals}f}} {torque.symbol}"
            f"<extra>run {run_no}</extra>"
        ),
    )


def _hollow(figure: go.Figure, shown: pd.DataFrame) -> None:
    idle = shown[~shown["counts"].astype(bool) & shown["torque"].notna()]
    if idle.empty:
        return
    figure.add_trace(
        go.Scatter(
            x=idle["torque"],
            y=idle["depth"],
            mode="markers",
            name="not assessed",
            meta="hollow",
            marker={
                "symbol": "circle-open",
                "size": 9,
                "color": theme.PROFILE,
                "line": {"width": 2},
            },
            hoverinfo="skip",
        )
    )


def _of_headers(figure: go.Figure, shown: pd.DataFrame) -> None:
    given = shown[shown["of_header"].astype(bool) & shown["torque"].notna()]
    if given.empty:
        return
    figure.add_trace(
        go.Scatter(
            x=given["torque"],
            y=given["depth"],
            mode="markers",
            name="final reading of the run's header",
            meta="of header",
            marker={
                "symbol": "square-open",
                "size": 14,
                "color": theme.QUIET,
                "line": {"width": 2},
            },
            hoverinfo="skip",
        )
    )


def _out_of_range(figure: go.Figure, shown: pd.DataFrame, system: str) -> None:
    unit = units.shown_unit("torque_nm", system)
    for word, sign, symbol, side in (
        ("below", "<", "triangle-left", "middle right"),
        ("above", "≥", "triangle-right", "middle left"),
    ):
        part = shown[shown["range"] == word]
        if part.empty:
            continue
        labels = f"{sign} " + part["bound"].map(f"{{:,.{unit.decimals}f}}".format)
        labels = labels.where(part["bound"].notna(), f"{word} range")
        figure.add_trace(
            go.Scatter(
                x=part["bound"].fillna(0),
                y=part["depth"],
                mode="markers+text",
                text=labels.where(labels.ne(labels.shift()), ""),
                customdata=labels,
                textposition=side,
                name=f"{word} the calibrated range",
                meta=f"{word} range",
                cliponaxis=False,
                marker={"symbol": symbol, "size": 11, "color": theme.QUIET},
                hovertemplate=f"%{{customdata}} {unit.symbol}<extra>{word} range</extra>",
            )
        )


def _events(figure: go.Figure, shown: pd.DataFrame) -> None:
    """Marks with the recorded text, on the side of the profile that has more room."""
    place = shown["torque"].fillna(shown["bound"]).fillna(0.0)
    room = place.max()
    for sort, (symbol, colour, size) in EVENT_SIGNS.items():
        part = shown[shown["event_sort"] == sort]
        if part.empty:
            continue
        at = place[part.index]
        figure.add_trace(
            go.Scatter(
                x=at,
                y=part["depth"],
                mode="markers+text",
                text=part["event"].map(_short),
                textposition=np.where(at > room / 2, "middle left", "middle right").tolist(),
                textfont={"size": 13},
                customdata=part["event"].map(figure_text),
                name=EVENT_NAMES[sort],
                meta=f"event {sort}",
                cliponaxis=False,
                marker={"symbol": symbol, "size": size, "color": colour, "line": {"width": 2}},
                hovertemplate="%{customdata}<extra></extra>",
            )
        )


def _short(text: str) -> str:
    """What fits beside a mark; a figure reads markup, so what a crew wrote is escaped."""
    return figure_text(text if len(text) <= LONGEST_TEXT else text[: LONGEST_TEXT - 1] + "…")


def _limit(
    figure: go.Figure, torque_nm: float, word: str, bottom: float, system: str, why: str = ""
) -> None:
    if pd.isna(torque_nm):
        return
    at = units.shown_values(torque_nm, "torque_nm", system)
    colour, dash = {"required": (theme.REQUIRED, "dash"), "rated": (theme.RATED, "dashdot")}[word]
    figure.add_trace(
        go.Scatter(
            x=[at, at],
            y=[0, -units.shown_values(bottom, "depth_mm", system)],
            mode="lines",
            name=f"{word} torque {units.text(torque_nm, 'torque_nm', system)}"
            + (f" ({figure_text(why)})" if why else ""),
            meta=word,
            line={"color": colour, "width": 2.5, "dash": dash},
            hovertemplate=f"{word} %{{x:,.2f}}<extra></extra>",
        )
    )


def _window(figure: go.Figure, marks: Marks, system: str) -> None:
    if pd.isna(marks.toe_mm) or pd.isna(marks.window_mm):
        return
    top = -units.shown_values(max(marks.toe_mm - marks.window_mm, 0), "depth_mm", system)
    toe = -units.shown_values(marks.toe_mm, "depth_mm", system)
    figure.add_shape(
        type="rect", xref="paper", x0=0, x1=1, y0=toe, y1=top,
        fillcolor=theme.WINDOW, line={"width": 0}, layer="below", name="final window",
    )  # fmt: skip
    figure.add_annotation(
        xref="paper", x=0.01, y=top, text="final window", showarrow=False,
        yanchor="bottom", xanchor="left", font={"size": 13},
    )  # fmt: skip


def _disc(figure: go.Figure, depth_mm: float, system: str) -> None:
    if pd.isna(depth_mm):
        return
    at = -units.shown_values(depth_mm, "depth_mm", system)
    figure.add_shape(
        type="line", xref="paper", x0=0, x1=1, y0=at, y1=at, name="first disc",
        line={"color": theme.DISC, "width": 1.5, "dash": "dot"},
    )  # fmt: skip
    figure.add_annotation(
        xref="paper", x=0.99, y=at, text="first disc enters", showarrow=False,
        yanchor="bottom", xanchor="right", font={"size": 13},
    )  # fmt: skip


def _axes(figure: go.Figure, bottom: float, system: str) -> None:
    deep = units.shown_values(bottom, "depth_mm", system)
    plain = {"gridcolor": theme.GRID, "zeroline": False, "title_font": {"size": 15}}
    figure.update_yaxes(
        title_text=units.shown_name("depth_mm", system) + " along the axis",
        range=[-deep * 1.04, deep * 0.02],
        **ticks_downward(deep),
        **plain,
    )
    figure.update_xaxes(
        title_text=units.shown_name("torque_nm", system), tickformat=",", side="top", **plain
    )
    figure.update_layout(
        height=640,
        margin={"l": 60, "r": 20, "t": 60, "b": 20},
        font={"size": 14, "family": theme.FONT},
        legend={"orientation": "h", "y": -0.02, "yanchor": "top", "x": 0, "font": {"size": 14}},
        paper_bgcolor="rgba(0,0,0,0)",
        plot_bgcolor="rgba(0,0,0,0)",
        hovermode="closest",
        dragmode="zoom",
    )


def _room(figure: go.Figure) -> None:
    drawn = [np.asarray(trace.x, dtype=float) for trace in figure.data]
    reach = max((np.nanmax(x) for x in drawn if len(x) and not np.isnan(x).all()), default=1.0)
    figure.update_xaxes(range=[0, 1.08 * (reach or 1.0)])


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


def torque_by_group(panels: Sequence[Panel], column: str, system: str) -> go.Figure:
    """Profiles of each group over ``column``: depth_mm along the axis, or level_m."""
    figure = sheet.grid([panel.name for panel in panels])
    drawn = [part for panel in panels for part in (panel.quiet, panel.chosen, panel.band)]
    axis = DepthAxis(column, system, pd.concat([part[column].astype(float) for part in drawn]))
    for place, panel in enumerate(panels):
        traces = [*_band(panel.band, axis), *_quiet(panel.quiet, axis)]
        traces += [*_median(panel.band, axis), *_handles(panel.quiet, axis)]
        traces += _chosen_traces(panel.chosen, panel.marks, axis)
        sheet.fill(figure, place, traces)
    _group_axes(figure, len(panels), axis)
    return figure


def separated(readings: pd.DataFrame, axis: DepthAxis) -> pd.DataFrame:
    """``readings`` ready to be one line: x, y, with an empty row between two piles."""
    frame = pd.DataFrame(
        {
            "pile_id": readings["pile_id"].to_numpy(dtype=object),
            "x": axis.torque(readings["torque_nm"]).to_numpy(dtype=float),
            "y": axis.place(readings[axis.column]).to_numpy(dtype=float),
            "counts": readings["counts"].to_numpy(dtype=bool),
        }
    )
    ends = np.flatnonzero(frame["pile_id"].ne(frame["pile_id"].shift())[1:]) + 0.5
    blank = pd.DataFrame({"pile_id": None, "x": np.nan, "y": np.nan, "counts": False}, index=ends)
    return pd.concat([frame, blank]).sort_index() if len(ends) else frame


def _quiet(readings: pd.DataFrame, axis: DepthAxis) -> list[go.Scatter]:
    if readings.empty:
        return []
    rows = separated(readings, axis)
    beside = ~rows["counts"] & rows["y"].notna()
    idle = beside | beside.shift(fill_value=False) | beside.shift(-1, fill_value=False)
    found = []
    for name, shown, dash in (
        ("piles of the group", rows["counts"], "solid"),
        ("not assessed", idle, "dot"),
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


def _handles(readings: pd.DataFrame, axis: DepthAxis) -> list[go.Scatter]:
    """Unseen markers on the quiet lines: they name a pile when hovered, choose it when clicked."""
    rows = readings[readings["torque_nm"].notna()]
    rows = rows.iloc[:: -(-len(rows) // MOST_HANDLES) or 1]
    if rows.empty:
        return []
    return [
        go.Scatter(
            x=axis.torque(rows["torque_nm"]),
            y=axis.place(rows[axis.column]),
            customdata=axis.customdata(rows),
            mode="markers",
            meta="handles",
            marker={"size": 9, "color": theme.QUIET, "opacity": 0},
            selected={"marker": {"opacity": 0}},
            unselected={"marker": {"opacity": 0}},
            hovertemplate=axis.sentence,
            showlegend=False,
        )
    ]


def _band(band: pd.DataFrame, axis: DepthAxis) -> list[go.Scatter]:
    known = band["low_torque_nm"].notna() & band["high_torque_nm"].notna()
    stretch = (known.ne(known.shift()) | band["stretch"].diff().ne(1)).cumsum()
    x: list[float] = []
    y: list[float] = []
    for _, part in band[known].groupby(stretch[known]):
        low, high = axis.torque(part["low_torque_nm"]), axis.torque(part["high_torque_nm"])
        at = axis.place(part[axis.column])
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


def _median(band: pd.DataFrame, axis: DepthAxis) -> list[go.Scatter]:
    if band["median_torque_nm"].isna().all():
        return []
    every = range(int(band["stretch"].min()), int(band["stretch"].max()) + 1)
    band = band.set_index("stretch").reindex(every)  # an empty stretch is a gap in the line
    return [
        go.Scatter(
            x=axis.torque(band["median_torque_nm"]),
            y=axis.place(band[axis.column]),
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


def _group_axes(figure: go.Figure, count: int, axis: DepthAxis) -> None:
    single, rows = count == 1, sheet.rows_of(count)
    figure.update_yaxes(**axis.ticks(), **sheet.AXIS)
    figure.update_yaxes(title_text=axis.title, col=1)
    figure.update_xaxes(tickformat=",", side="top" if single else "bottom", **sheet.AXIS)
    figure.update_xaxes(range=[0, 1.08 * (_max_x(figure) or 1.0)], showticklabels=True)
    figure.update_xaxes(title_text=units.shown_name("torque_nm", axis.system), row=rows)
    sheet.set_layout(figure, count, 640, -0.04 if single else -0.18 / rows)


def _max_x(figure: go.Figure) -> float:
    found = [np.asarray(trace.x, dtype=float) for trace in figure.data if len(trace.x)]
    return max((float(np.nanmax(x)) for x in found if not np.isnan(x).all()), default=1.0)


DISC = {"depth_mm": "first_disc_depth_mm", "level_m": "first_disc_level_m"}
CHOSEN_LIMITS = {"required": (theme.REQUIRED, "dash"), "rated": (theme.RATED, "dashdot")}


def _chosen_traces(
    readings: pd.DataFrame, marks: pd.DataFrame, axis: DepthAxis
) -> list[go.Scatter]:
    """A line per chosen pile, its hollow and out-of-range readings, its limits and first disc."""
    found: list[go.Scatter] = []
    for word in CHOSEN_LIMITS:
        found += _chosen_limits(marks, word, axis)
    for rank, row in enumerate(marks.iloc[::-1].itertuples()):
        own = readings[readings["pile_id"] == row.subject]
        if own.empty:
            continue
        found += [
            _chosen_line(own, str(row.subject), rank, axis),
            _chosen_name(own, str(row.subject), axis),
        ]
        found += _chosen_hollow(own, axis)
        found += _chosen_out_of_range(own, axis)
        found += _chosen_disc(own, str(row.subject), getattr(row, DISC[axis.column]), axis)
    return found


def _chosen_line(own: pd.DataFrame, subject: str, rank: int, axis: DepthAxis) -> go.Scatter:
    sizes = np.where(own["counts"].astype(bool), 7, 1)
    return go.Scatter(
        x=axis.torque(own["torque_nm"]),
        y=axis.place(own[axis.column]),
        customdata=axis.customdata(own),
        mode="lines+markers",
        name=f"pile {figure_text(subject)}",
        meta="chosen",
        connectgaps=False,
        line={
            "color": theme.PROFILE,
            "width": 3.5 if rank == 0 else 2.5,
            "dash": theme.DASHES[rank % len(theme.DASHES)],
        },
        marker={
            "symbol": theme.SYMBOLS[rank % len(theme.SYMBOLS)],
            "size": sizes,
            "color": theme.PROFILE,
        },
        unselected={"marker": {"opacity": 1}},
        hovertemplate=axis.sentence,
        showlegend=True,
    )


def _chosen_name(own: pd.DataFrame, subject: str, axis: DepthAxis) -> go.Scatter:
    last = own.iloc[-1:]
    return go.Scatter(
        x=axis.torque(last["torque_nm"].fillna(last["bound_torque_nm"]).fillna(0)),
        y=axis.place(last[axis.column]),
        mode="text",
        text=[f"<b>{figure_text(subject)}</b>"],
        textposition="bottom center",
        textfont={"size": 15, "color": theme.PROFILE},
        unselected={"textfont": {"color": theme.PROFILE}},
        cliponaxis=False,
        meta="name",
        hoverinfo="skip",
        showlegend=False,
    )


def _chosen_hollow(own: pd.DataFrame, axis: DepthAxis) -> list[go.Scatter]:
    idle = own[~own["counts"].astype(bool) & own["torque_nm"].notna()]
    if idle.empty:
        return []
    return [
        go.Scatter(
            x=axis.torque(idle["torque_nm"]),
            y=axis.place(idle[axis.column]),
            mode="markers",
            name="reading not assessed",
            meta="hollow",
            marker={
                "symbol": "circle-open", "size": 9, "color": theme.PROFILE, "line": {"width": 2},
            },
            unselected={"marker": {"opacity": 1}},
            hoverinfo="skip",
            showlegend=True,
        )
    ]  # fmt: skip


def _chosen_out_of_range(own: pd.DataFrame, axis: DepthAxis) -> list[go.Scatter]:
    found = []
    for word, sign, symbol in (("below", "<", "triangle-left"), ("above", "≥", "triangle-right")):
        part = own[own["range"] == word]
        if part.empty:
            continue
        bound = axis.torque(part["bound_torque_nm"])
        labels = f"{sign} " + bound.map(f"{{:,.{axis.unit.decimals}f}} {axis.unit.symbol}".format)
        found.append(
            go.Scatter(
                x=bound.fillna(0),
                y=axis.place(part[axis.column]),
                customdata=labels.where(bound.notna(), f"{word} range"),
                mode="markers",
                name=f"{word} the calibrated range",
                meta=f"{word} range",
                cliponaxis=False,
                marker={"symbol": symbol, "size": 11, "color": theme.QUIET},
                unselected={"marker": {"opacity": 1}},
                hovertemplate=f"%{{customdata}}<extra>{word} range</extra>",
                showlegend=True,
            )
        )
    return found


def _chosen_limits(marks: pd.DataFrame, word: str, axis: DepthAxis) -> list[go.Scatter]:
    """One upright line per limit of the chosen piles, named when they differ."""
    colour, dash = CHOSEN_LIMITS[word]
    column = f"{word}_torque_nm"
    held = marks.dropna(subset=[column]).groupby(column)["subject"].agg(", ".join)
    found = []
    for torque_nm, piles in held.items():
        at = units.shown_values(float(torque_nm), "torque_nm", axis.system)
        words = f"{word} torque {units.text(float(torque_nm), 'torque_nm', axis.system)}"
        found.append(
            go.Scatter(
                x=[at, at], y=axis.ends, mode="lines", meta=word,
                name=words if len(held) == 1 else f"{words} of {figure_text(piles)}",
                line={"color": colour, "width": 2.5, "dash": dash},
                hovertemplate=f"{word} %{{x:,.2f}}<extra></extra>", showlegend=True,
            )
        )  # fmt: skip
    return found


def _chosen_disc(own: pd.DataFrame, subject: str, at: float, axis: DepthAxis) -> list[go.Scatter]:
    if pd.isna(at):
        return []
    y = axis.place(pd.Series([at, at]))
    reach = axis.torque(own["torque_nm"]).max()
    return [
        go.Scatter(
            x=[0, reach], y=y, mode="lines+text", name="first disc enters", meta="disc",
            text=["", f"first disc of {figure_text(subject)} enters"],
            textposition="top left", textfont={"size": 13},
            line={"color": theme.DISC, "width": 1.5, "dash": "dot"}, hoverinfo="skip",
            showlegend=True,
        )
    ]  # fmt: skip
