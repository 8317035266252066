"""Grout figures by point: the least take of each pile in order, and strength with age."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from core import units
from dashboard import theme
from dashboard.literal import figure_text

MOST_NAMES = 12


def min_takes(piles: pd.DataFrame, limits: Mapping[str, float], chosen: list[str]) -> go.Figure:
    """One point per pile, the thinnest first: its least lift ratio and, hollow, its whole ratio.

    ``piles``: subject, min_lift_ratio, take_ratio, named. Named are those that stand out and
    those chosen.
    """
    rows = piles[piles["min_lift_ratio"].notna() | piles["take_ratio"].notna()]
    rows = rows.sort_values("min_lift_ratio", kind="stable")
    place = pd.Series(np.arange(1, len(rows) + 1), index=rows.index)
    own = rows["subject"].isin(chosen)
    figure = go.Figure()
    for column, word, symbol in (
        ("take_ratio", "whole pile", "circle-open"),
        ("min_lift_ratio", "least of its lifts", "circle"),
    ):
        figure.add_scatter(
            x=place, y=rows[column], mode="markers", name=word, meta=column,
            customdata=rows[["subject"]].assign(drawn=rows["subject"].map(figure_text)),
            marker={
                "symbol": symbol, "size": np.where(own, 13, 9),
                "color": np.where(own, theme.PROFILE, theme.QUIET),
            },
            selected={"marker": {"opacity": 1}}, unselected={"marker": {"opacity": 1}},
            hovertemplate=f"<b>%{{customdata[1]}}</b><br>{word}: %{{y:.2f}}<extra></extra>",
        )  # fmt: skip
    _names(figure, rows, place, own)
    for name, word, colour, dash in (
        ("min_cumulative_ratio", "least asked of the whole pile", theme.REQUIRED, "dot"),
        ("min_lift_ratio", "least asked of a lift", theme.REQUIRED, "dash"),
        ("alarm_ratio", "alarm for the whole pile", theme.RATED, "dashdot"),
    ):
        if name in limits:
            _level(figure, (0.5, len(rows) + 0.5), limits[name], f"{word}, {limits[name]:.2f}")
            figure.data[-1].update(line={"color": colour, "width": 2.5, "dash": dash}, meta=name)
    _plain(figure, 380)
    figure.update_xaxes(title_text="piles, the thinnest first", tickformat=",d", rangemode="tozero")
    figure.update_yaxes(title_text="take ratio", rangemode="tozero")
    return figure


def _names(figure: go.Figure, rows: pd.DataFrame, place: pd.Series, own: pd.Series) -> None:
    """Names of the piles that stand out: those chosen, then the thinnest, then the rest."""
    told = pd.concat([rows[own], rows[rows["named"] & ~own]]).head(MOST_NAMES)
    high = told["take_ratio"] - rows["take_ratio"].median()
    low = rows["min_lift_ratio"].median() - told["min_lift_ratio"]
    above = high > low
    figure.add_scatter(
        x=place[told.index],
        y=told["take_ratio"].where(above, told["min_lift_ratio"]),
        mode="markers+text",  # unseen markers keep the names off the points
        marker={"size": 14, "opacity": 0},
        selected={"marker": {"opacity": 0}},
        text=[f"<b>{figure_text(name)}</b>" for name in told["subject"]],
        textposition=np.where(above, "top center", "bottom center"),
        textfont={"size": 13, "color": theme.PROFILE},
        unselected={"marker": {"opacity": 0}, "textfont": {"color": theme.PROFILE}},
        cliponaxis=False,
        hoverinfo="skip",
        meta="name",
        showlegend=False,
    )


def strength_with_age(
    specimens: pd.DataFrame, asked: list[tuple[float, float]], own: set[str], system: str
) -> go.Figure:
    """One point per tested specimen at its age when tested; groups in ``own`` are blue.

    ``asked``: age in days and least strength in MPa of each criterion.
    """
    unit = units.shown_unit("strength_mpa", system)
    names = ["specimen_id", "sample_group_id"]
    rows = specimens[specimens["strength_mpa"].notna() & specimens["tested_age_days"].notna()]
    figure = go.Figure()
    mine = rows["sample_group_id"].isin(own)
    for part, word, colour, size in (
        (rows[~mine], "specimen", theme.QUIET, 9),
        (rows[mine], "specimen of the chosen piles", theme.PROFILE, 12),
    ):
        if part.empty:
            continue
        figure.add_scatter(
            x=part["tested_age_days"],
            y=units.shown_values(part["strength_mpa"], "strength_mpa", system),
            customdata=part[names].map(figure_text, na_action="ignore").assign(piles=part["piles"]),
            mode="markers", name=word, meta=word, marker={"size": size, "color": colour},
            selected={"marker": {"opacity": 1}}, unselected={"marker": {"opacity": 1}},
            hovertemplate=f"<b>specimen %{{customdata[0]}}</b> of group %{{customdata[1]}}<br>"
            f"%{{y:.{unit.decimals}f}} {unit.symbol} at %{{x:.0f}} days<br>"
            "stands for %{customdata[2]} piles<extra></extra>",
        )  # fmt: skip
    last = max([1.0, *rows["tested_age_days"], *(age for age, _ in asked)])
    for age, min_mpa in asked:
        least = units.shown_values(min_mpa, "strength_mpa", system)
        word = f"asked from {age:g} days on, {least:.{unit.decimals}f} {unit.symbol}"
        _level(figure, (age, 1.12 * last), least, word)
        figure.data[-1].update(line={"color": theme.REQUIRED, "width": 3, "dash": "dash"})
        figure.data[-1].meta = "asked"
    _plain(figure, 420)
    figure.update_xaxes(title_text="age at the test [days]", range=[0, 1.12 * last])
    figure.update_yaxes(title_text=f"compressive strength [{unit.symbol}]", rangemode="tozero")
    return figure


def _level(figure: go.Figure, ends: tuple[float, float], value: float, word: str) -> None:
    figure.add_scatter(
        x=list(ends), y=[value, value], mode="lines", name=word,
        hovertemplate=f"{word}<extra></extra>",
    )  # fmt: skip


def _plain(figure: go.Figure, height: int) -> None:
    figure.update_xaxes(gridcolor=theme.GRID, zeroline=False, title_font={"size": 15})
    figure.update_yaxes(gridcolor=theme.GRID, zeroline=False, title_font={"size": 15})
    figure.update_layout(
        height=height,
        margin={"l": 60, "r": 20, "t": 20, "b": 20},
        font={"size": 14, "family": theme.FONT},
        legend={"orientation": "h", "yanchor": "bottom", "y": 1.02, "x": 0, "font": {"size": 14}},
        paper_bgcolor="rgba(0,0,0,0)",
        plot_bgcolor="rgba(0,0,0,0)",
        hovermode="closest",
        dragmode="zoom",
    )
