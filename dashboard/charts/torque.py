"""The torque profile of one pile: torque against depth along the axis, depth downward.

Depth is plotted as its negative with relabelled ticks and SVG lines: lines drawn with WebGL on a
reversed axis come out flat.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from core import units
from dashboard import theme
from dashboard.charts.upright import ticks_downward
from dashboard.literal import figure_text

# Sign, colour and size of what is written beside a reading, by how it is judged.
EVENT_SIGNS = {
    "judged": ("x", theme.RATED, 11),
    "other": ("diamond-open", theme.QUIET, 10),
    "neutral": ("line-ew-open", theme.QUIET, 10),
}
EVENT_NAMES = {"judged": "event", "other": "other text", "neutral": "extension, disc, break"}
LONGEST_TEXT = 30
SYMBOLS = ("circle", "square", "diamond", "triangle-up", "cross")
DASHES = ("solid", "dot", "dash", "dashdot")


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
        line={"color": theme.PROFILE, "width": 2.5, "dash": DASHES[rank % len(DASHES)]},
        marker={
            "symbol": SYMBOLS[rank % len(SYMBOLS)],
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
            name="does not count",
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
        line={"color": theme.QUIET, "width": 1.5, "dash": "dot"},
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
    greatest = max((np.nanmax(x) for x in drawn if len(x) and not np.isnan(x).all()), default=1.0)
    figure.update_xaxes(range=[0, 1.08 * (greatest or 1.0)])
