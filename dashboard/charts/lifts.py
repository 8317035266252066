"""Grout of one pile by lift, in the order of the work: net beside void, and the take ratios.

Lifts stand under each other as they were placed, not at a depth: grout is fed at the top and drawn
down, so a lift's volume is not the take at the depth of its toe.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from core import units
from dashboard import theme
from dashboard.literal import figure_text

HEAD, EACH = 190, 52  # pixels: axes and legend, each lift
SPLIT = (0.56, 0.64)  # where volumes end and ratios begin, of the width
LIMITS = {
    "min_cumulative_ratio": ("least cumulative", theme.REQUIRED, "dash"),
    "min_lift_ratio": ("least in a lift", theme.RATED, "dashdot"),
    "alarm_ratio": ("alarm", theme.QUIET, "dot"),
}


def lifts_of_pile(lifts: pd.DataFrame, limits: dict[str, float], system: str) -> go.Figure:
    """Bars of net grout against void per lift, and beside them the ratios of lift and pile so far.

    lifts: one row per lift in the order of the work: run_no, lift_no, from_mm, to_mm, net_l,
    void_l, take_ratio, cumulative_ratio; an empty lift_no is a gap in which no lift is recorded.
    limits: by the names of ``LIMITS``, those that are set.
    """
    figure = go.Figure()
    rank = -np.arange(len(lifts), dtype=float)
    _volumes(figure, lifts, rank, system)
    _unknown(figure, lifts, rank)
    _ratios(figure, lifts, rank)
    reach = _limits(figure, lifts, limits, len(lifts))
    _axes(figure, lifts, rank, reach, system)
    return figure


def _volumes(figure: go.Figure, lifts: pd.DataFrame, rank: np.ndarray, system: str) -> None:
    unit = units.shown_unit("net_l", system)
    for column, word, wide, style in (
        ("void_l", "void", 0.72, {"color": theme.BAND, "line": {"color": theme.QUIET, "width": 1}}),
        ("net_l", "net grout", 0.36, {"color": theme.PROFILE}),
    ):
        figure.add_trace(
            go.Bar(
                x=units.shown_values(lifts[column], column, system), y=rank, width=wide,
                orientation="h", name=word, meta=word, marker=style,
                hovertemplate=f"{word} %{{x:,.{unit.decimals}f}} {unit.symbol}<extra></extra>",
            )
        )  # fmt: skip


def _unknown(figure: go.Figure, lifts: pd.DataFrame, rank: np.ndarray) -> None:
    """Say at the foot of the bar what is not known; a missing bar alone would read as none."""
    gap = lifts["lift_no"].eq("")
    unknown = {
        "no lift recorded": (gap, 0.0),
        "net not known": (lifts["net_l"].isna() & ~gap, 0.0),
        "void not known": (lifts["void_l"].isna() & ~gap, 14.0),
    }
    for word, (where, shift) in unknown.items():
        for place in rank[where.to_numpy()]:
            figure.add_annotation(
                x=0, y=place, text=word, showarrow=False, xanchor="left", xshift=4, yshift=shift,
                font={"size": 13},
            )  # fmt: skip


def _ratios(figure: go.Figure, lifts: pd.DataFrame, rank: np.ndarray) -> None:
    common: dict[str, Any] = {"y": rank, "xaxis": "x2", "connectgaps": False}
    figure.add_trace(
        go.Scatter(
            x=lifts["cumulative_ratio"], mode="lines+markers", name="pile so far",
            meta="cumulative", line={"color": theme.PROFILE, "width": 2.5},
            marker={"symbol": "diamond", "size": 10, "color": theme.PROFILE},
            hovertemplate="pile so far %{x:.2f}<extra></extra>", **common,
        )
    )  # fmt: skip
    figure.add_trace(
        go.Scatter(
            x=lifts["take_ratio"], mode="markers", name="lift alone", meta="lift",
            marker={
                "symbol": "circle-open", "size": 11, "color": theme.PROFILE, "line": {"width": 2},
            },
            hovertemplate="lift alone %{x:.2f}<extra></extra>", **common,
        )
    )  # fmt: skip


def _limits(figure: go.Figure, lifts: pd.DataFrame, limits: dict[str, float], count: int) -> float:
    """Lines of the limits; returns the greatest ratio that the axis has to hold."""
    held = [1.0, *lifts["cumulative_ratio"].dropna(), *lifts["take_ratio"].dropna()]
    for name, (word, colour, dash) in LIMITS.items():
        value = limits.get(name, float("nan"))
        if pd.isna(value):
            continue
        held.append(value)
        figure.add_trace(
            go.Scatter(
                x=[value, value], y=[0.5, 0.5 - count], xaxis="x2", mode="lines",
                name=f"{word} {value:.2f}", meta=name, hoverinfo="skip",
                line={"color": colour, "width": 2.5, "dash": dash},
            )
        )  # fmt: skip
    return max(held)


def _axes(
    figure: go.Figure, lifts: pd.DataFrame, rank: np.ndarray, reach: float, system: str
) -> None:
    plain = {"gridcolor": theme.GRID, "zeroline": False, "title_font": {"size": 15}, "side": "top"}
    figure.update_yaxes(
        tickmode="array", tickvals=rank, ticktext=_names(lifts, system), showgrid=False,
        range=[0.5 - max(len(lifts), 1), 0.5], zeroline=False,
    )  # fmt: skip
    symbol = units.shown_unit("net_l", system).symbol
    figure.update_layout(
        xaxis={
            **plain, "title_text": f"volume [{symbol}]", "domain": [0, SPLIT[0]],
            "rangemode": "tozero",
        },
        xaxis2={
            **plain, "title_text": "take ratio", "domain": [SPLIT[1], 1],
            "range": [0, 1.08 * reach], "anchor": "y",
        },
        barmode="overlay",
        height=HEAD + EACH * len(lifts),
        margin={"l": 10, "r": 16, "t": 56, "b": 10},
        font={"size": 14, "family": theme.FONT},
        legend={"orientation": "h", "y": -0.04, "yanchor": "top", "x": 0, "font": {"size": 14}},
        paper_bgcolor="rgba(0,0,0,0)",
        plot_bgcolor="rgba(0,0,0,0)",
    )  # fmt: skip


def _names(lifts: pd.DataFrame, system: str) -> list[str]:
    """Each lift by its number, its run where there are several, and the way of the toe."""
    unit = units.shown_unit("from_mm", system)
    ends = [units.shown_values(lifts[name], name, system) for name in ("from_mm", "to_mm")]
    first, last = (end.map(f"{{:.{unit.decimals}f}}".format) for end in ends)
    ways = ("toe " + first + "–" + last).where(first.ne(last), "toe stays at " + last)
    runs = ", run " + lifts["run_no"].map(figure_text) if lifts["run_no"].nunique() > 1 else ""
    lift = "<b>lift " + lifts["lift_no"].map(figure_text) + "</b>" + runs
    lift = lift.mask(lifts["lift_no"].eq(""), "<b>gap</b>")
    names: list[str] = (lift + "<br>" + ways + f" {unit.symbol}").tolist()
    return names
