"""The chosen piles of a figure of profiles: bold, named, with what their torque is held against."""

from __future__ import annotations

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from core import units
from dashboard import theme
from dashboard.charts.upright import Upright
from dashboard.literal import figure_text

SYMBOLS = ("circle", "square", "diamond", "triangle-up", "cross")
DASHES = ("solid", "dash", "dot", "dashdot")
DISC = {"depth_mm": "first_disc_depth_mm", "level_m": "first_disc_level_m"}
LIMITS = {"required": (theme.REQUIRED, "dash"), "rated": (theme.RATED, "dashdot")}


def traces(readings: pd.DataFrame, marks: pd.DataFrame, axis: Upright) -> list[go.Scatter]:
    """A line per chosen pile, its hollow and out-of-range readings, its limits and first disc."""
    found: list[go.Scatter] = []
    for word in LIMITS:
        found += _limits(marks, word, axis)
    for rank, row in enumerate(marks.iloc[::-1].itertuples()):
        own = readings[readings["pile_id"] == row.subject]
        if own.empty:
            continue
        found += [_line(own, str(row.subject), rank, axis), _name(own, str(row.subject), axis)]
        found += _hollow(own, axis)
        found += _out_of_range(own, axis)
        found += _disc(own, str(row.subject), getattr(row, DISC[axis.along]), axis)
    return found


def _line(own: pd.DataFrame, subject: str, rank: int, axis: Upright) -> go.Scatter:
    sizes = np.where(own["counts"].astype(bool), 7, 1)
    return go.Scatter(
        x=axis.torque(own["torque_nm"]),
        y=axis.place(own[axis.along]),
        customdata=axis.told(own),
        mode="lines+markers",
        name=f"pile {figure_text(subject)}",
        meta="chosen",
        connectgaps=False,
        line={
            "color": theme.PROFILE,
            "width": 3.5 if rank == 0 else 2.5,
            "dash": DASHES[rank % len(DASHES)],
        },
        marker={"symbol": SYMBOLS[rank % len(SYMBOLS)], "size": sizes, "color": theme.PROFILE},
        unselected={"marker": {"opacity": 1}},
        hovertemplate=axis.sentence,
        showlegend=True,
    )


def _name(own: pd.DataFrame, subject: str, axis: Upright) -> go.Scatter:
    last = own.iloc[-1:]
    return go.Scatter(
        x=axis.torque(last["torque_nm"].fillna(last["bound_torque_nm"]).fillna(0)),
        y=axis.place(last[axis.along]),
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


def _hollow(own: pd.DataFrame, axis: Upright) -> list[go.Scatter]:
    idle = own[~own["counts"].astype(bool) & own["torque_nm"].notna()]
    if idle.empty:
        return []
    return [
        go.Scatter(
            x=axis.torque(idle["torque_nm"]),
            y=axis.place(idle[axis.along]),
            mode="markers",
            name="reading that does not count",
            meta="hollow",
            marker={
                "symbol": "circle-open", "size": 9, "color": theme.PROFILE, "line": {"width": 2},
            },
            unselected={"marker": {"opacity": 1}},
            hoverinfo="skip",
            showlegend=True,
        )
    ]  # fmt: skip


def _out_of_range(own: pd.DataFrame, axis: Upright) -> list[go.Scatter]:
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
                y=axis.place(part[axis.along]),
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


def _limits(marks: pd.DataFrame, word: str, axis: Upright) -> list[go.Scatter]:
    """One upright line per torque that chosen piles are held against, named when they differ."""
    colour, dash = LIMITS[word]
    column = f"{word}_torque_nm"
    held = marks.dropna(subset=[column]).groupby(column)["subject"].agg(", ".join)
    found = []
    for torque_nm, piles in held.items():
        at = units.shown_values(float(torque_nm), "torque_nm", axis.system)
        told = f"{word} torque {units.text(float(torque_nm), 'torque_nm', axis.system)}"
        found.append(
            go.Scatter(
                x=[at, at], y=axis.ends, mode="lines", meta=word,
                name=told if len(held) == 1 else f"{told} of {figure_text(piles)}",
                line={"color": colour, "width": 2.5, "dash": dash},
                hovertemplate=f"{word} %{{x:,.2f}}<extra></extra>", showlegend=True,
            )
        )  # fmt: skip
    return found


def _disc(own: pd.DataFrame, subject: str, at: float, axis: Upright) -> list[go.Scatter]:
    if pd.isna(at):
        return []
    y = axis.place(pd.Series([at, at]))
    reach = axis.torque(own["torque_nm"]).max()
    return [
        go.Scatter(
            x=[0, reach], y=y, mode="lines+text", name="first disc enters", meta="disc",
            text=["", f"first disc of {figure_text(subject)} enters"],
            textposition="top left", textfont={"size": 13},
            line={"color": theme.QUIET, "width": 1.5, "dash": "dot"}, hoverinfo="skip",
            showlegend=True,
        )
    ]  # fmt: skip
