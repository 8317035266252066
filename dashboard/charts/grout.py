"""Grout: takes of whole groups, the lifts of one pile, and strength with age.

Grout is fed at the top and drawn down: a lift's volume is drawn at the depth the toe had reached,
or in the order of the work, which is not where the grout stayed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from core import units
from dashboard import theme
from dashboard.charts import panels as sheet
from dashboard.charts.depth_axis import DepthAxis
from dashboard.literal import figure_text

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
    axis = DepthAxis("depth_mm", system, pd.concat([part["reach_mm"] for part in parts]))
    drawn: Drawn = [
        (one, *(_line_points(part, over, axis) for part in (one.quiet, one.bold))) for one in panels
    ]
    ends = _ends(drawn, over)
    for place, (panel, quiet, bold) in enumerate(drawn):
        traces = [*_quiet_lines(quiet), *_limit_lines(panel.limits, over, axis, ends)]
        traces += [*_handles(quiet, over), *_chosen_lines(bold, panel.chosen, over)]
        sheet.fill(figure, place, traces)
    _group_axes(figure, len(panels), over, axis, ends)
    return figure


def _ends(drawn: Drawn, over: str) -> tuple[float, float]:
    """Maximum x and y that the figure has to hold, limits of a ratio included."""
    points = pd.concat([part[["x", "y"]] for _, *parts in drawn for part in parts])
    x, y = points.astype(float).max().fillna(1.0)
    if over == "net":
        return 1.12 * x, 1.08 * y
    limits = [one.limits.get(name, 1.0) for one, *_ in drawn for name, _ in LIMITS[over]]
    return 1.08 * max(x, 1.0, *limits), 0.0


def _group_axes(
    figure: go.Figure, count: int, over: str, axis: DepthAxis, ends: tuple[float, float]
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
    sheet.set_layout(figure, count, 560, -0.04 if side == "top" else -0.18 / rows)


MOST_HANDLES = 3000  # points that can be hovered and clicked; more make a browser crawl
VIEWS = {
    "cumulative_ratio": "cumulative take ratio",
    "take_ratio": "take ratio of each lift",
    "net": "net grout against void",
}
# Lines of each view: limit, its word in the legend, colour, dash.
LIMITS = {
    "cumulative_ratio": (("min_cumulative_ratio", "minimum"), ("alarm_ratio", "alarm")),
    "take_ratio": (("min_lift_ratio", "minimum of a lift"),),
    "net": (("min_cumulative_ratio", "minimum"), ("alarm_ratio", "alarm")),
}
STYLES = {"alarm_ratio": (theme.RATED, "dashdot")}
MINIMUM_STYLE = (theme.REQUIRED, "dash")


def _line_points(lifts: pd.DataFrame, over: str, axis: DepthAxis) -> pd.DataFrame:
    """Per pile the points of its line, x and y as shown, with the pile and its lift in words."""
    lift = lifts["where"] + ", toe at " + _words(lifts["reach_mm"], axis.system)
    rows = pd.DataFrame({"pile": lifts["pile_id"].astype(object), "lift": lift.astype(object)})
    if over == "net":
        rows["x"] = units.shown_values(lifts["cumulative_void_l"], "void_l", axis.system)
        rows["y"] = units.shown_values(lifts["cumulative_net_l"], "net_l", axis.system)
        begin = rows.drop_duplicates("pile").assign(x=0.0, y=0.0, lift="begin")
        rows = pd.concat([begin, rows]).sort_index(kind="stable")
    elif over == "take_ratio":
        tops = rows.assign(x=lifts["take_ratio"], y=axis.place(lifts["from_mm"]))
        feet = rows.assign(x=lifts["take_ratio"], y=axis.place(lifts["to_mm"]))
        rows = pd.concat([tops, feet]).sort_index(kind="stable")
    else:
        rows = rows.assign(x=lifts["cumulative_ratio"], y=axis.place(lifts["reach_mm"]))
    return rows.reset_index(drop=True)


def _words(values: pd.Series, system: str) -> pd.Series:
    unit = units.shown_unit("depth_mm", system)
    shown = units.shown_values(values.astype(float), "depth_mm", system)
    words: pd.Series = shown.map(f"{{:,.2f}} {unit.symbol}".format).astype("str")
    return words


def _separated(points: pd.DataFrame) -> pd.DataFrame:
    """``points`` ready to be one line: with an empty row between two piles."""
    new = points["pile"].ne(points["pile"].shift())
    ends = np.flatnonzero(new[1:]) + 0.5
    blank = pd.DataFrame({"pile": None, "lift": None, "x": np.nan, "y": np.nan}, index=ends)
    return pd.concat([points, blank]).sort_index() if len(ends) else points


def _quiet_lines(points: pd.DataFrame) -> list[go.Scatter]:
    """One trace of all lines that are not chosen."""
    if points["x"].isna().all():
        return []
    rows = _separated(points)
    return [
        go.Scatter(
            x=rows["x"], y=rows["y"], mode="lines", name="piles of the group", meta="quiet",
            line={"color": theme.QUIET_LINE, "width": 1.2}, hoverinfo="skip", showlegend=True,
        )
    ]  # fmt: skip


def _handles(points: pd.DataFrame, over: str) -> list[go.Scatter]:
    """Unseen markers on the quiet lines: they name a pile when hovered, choose it when clicked."""
    rows = points[points["x"].notna() & points["lift"].ne("begin")]
    rows = rows.iloc[:: -(-len(rows) // MOST_HANDLES) or 1]
    if rows.empty:
        return []
    return [
        go.Scatter(
            x=rows["x"],
            y=rows["y"],
            customdata=_customdata(rows),
            mode="markers",
            meta="handles",
            marker={"size": 9, "color": theme.QUIET, "opacity": 0},
            selected={"marker": {"opacity": 0}},
            unselected={"marker": {"opacity": 0}},
            hovertemplate=_sentence(over),
            showlegend=False,
        )
    ]


def _sentence(over: str) -> str:
    number = "net %{y:,.1f}, void %{x:,.1f}" if over == "net" else "%{x:.2f}"
    return f"<b>%{{customdata[1]}}</b><br>%{{customdata[2]}}: {number}<extra></extra>"


def _customdata(points: pd.DataFrame) -> pd.DataFrame:
    """Per point the pile that a click chooses, and as drawn: pile, lift."""
    pile, lift = points["pile"], points["lift"]
    return pd.DataFrame(
        {"pile": pile, "drawn": pile.map(figure_text), "lift": lift.map(figure_text)}
    )


def _chosen_lines(points: pd.DataFrame, chosen: Sequence[str], over: str) -> list[go.Scatter]:
    """A line and a name per chosen pile, the pile itself the boldest."""
    found: list[go.Scatter] = []
    for rank, pile in enumerate(reversed(chosen)):
        own = points[points["pile"].eq(pile)]
        if own["x"].isna().all():
            continue
        line = {"color": theme.PROFILE, "width": 3.5 if rank == 0 else 2.5}
        line["dash"] = theme.DASHES[rank % len(theme.DASHES)]
        marker = {
            "symbol": theme.SYMBOLS[rank % len(theme.SYMBOLS)],
            "size": 7,
            "color": theme.PROFILE,
        }
        found.append(
            go.Scatter(
                x=own["x"], y=own["y"], customdata=_customdata(own), mode="lines+markers",
                name=f"pile {figure_text(pile)}", meta="chosen", connectgaps=False, line=line,
                marker=marker,
                unselected={"marker": {"opacity": 1}}, hovertemplate=_sentence(over),
                showlegend=True,
            )
        )  # fmt: skip
        last = own[own["x"].notna()].iloc[-1:]
        found.append(
            go.Scatter(
                x=last["x"], y=last["y"], mode="text", meta="name",
                text=[f"<b>{figure_text(pile)}</b>"],
                textposition="middle right" if over == "net" else "bottom center",
                textfont={"size": 15, "color": theme.PROFILE}, cliponaxis=False,
                unselected={"textfont": {"color": theme.PROFILE}}, hoverinfo="skip",
                showlegend=False,
            )
        )  # fmt: skip
    return found


def _limit_lines(
    limits: Mapping[str, float], over: str, axis: DepthAxis, ends: tuple[float, float]
) -> list[go.Scatter]:
    """Limits of the project that are set; ``ends``: maximum x and y of the figure."""
    found = []
    for name, word in LIMITS[over]:
        if name not in limits:
            continue
        value = limits[name]
        colour, dash = STYLES.get(name, MINIMUM_STYLE)
        right = min(ends[0], ends[1] / value) if over == "net" else value
        x = [0.0, right] if over == "net" else [value, value]
        y = [0.0, right * value] if over == "net" else [0.0, axis.ends[1]]
        found.append(
            go.Scatter(
                x=x, y=y, mode="lines", meta=name, name=f"{word}, {value:.2f}",
                line={"color": colour, "width": 2.5, "dash": dash},
                hovertemplate=f"{word} {value:.2f}<extra></extra>", showlegend=True,
            )
        )  # fmt: skip
    return found


MOST_NAMES = 12


def min_takes(piles: pd.DataFrame, limits: Mapping[str, float], chosen: list[str]) -> go.Figure:
    """One point per pile, the thinnest first: its minimum lift ratio and, hollow, its whole ratio.

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
        ("min_lift_ratio", "minimum of its lifts", "circle"),
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
        ("min_cumulative_ratio", "minimum of the whole pile", theme.REQUIRED, "dot"),
        ("min_lift_ratio", "minimum of a lift", theme.REQUIRED, "dash"),
        ("alarm_ratio", "alarm for the whole pile", theme.RATED, "dashdot"),
    ):
        if name in limits:
            _level(figure, (0.5, len(rows) + 0.5), limits[name], f"{word}, {limits[name]:.2f}")
            figure.data[-1].update(line={"color": colour, "width": 2.5, "dash": dash}, meta=name)
    _plain(figure, 380)
    figure.update_xaxes(title_text="piles, lowest first", tickformat=",d", rangemode="tozero")
    figure.update_yaxes(title_text="take ratio", rangemode="tozero")
    return figure


def _names(figure: go.Figure, rows: pd.DataFrame, place: pd.Series, own: pd.Series) -> None:
    """Names of the piles that stand out: those chosen, then the thinnest, then the rest."""
    named = pd.concat([rows[own], rows[rows["named"] & ~own]]).head(MOST_NAMES)
    high = named["take_ratio"] - rows["take_ratio"].median()
    low = rows["min_lift_ratio"].median() - named["min_lift_ratio"]
    above = high > low
    figure.add_scatter(
        x=place[named.index],
        y=named["take_ratio"].where(above, named["min_lift_ratio"]),
        mode="markers+text",  # unseen markers keep the names off the points
        marker={"size": 14, "opacity": 0},
        selected={"marker": {"opacity": 0}},
        text=[f"<b>{figure_text(name)}</b>" for name in named["subject"]],
        textposition=np.where(above, "top center", "bottom center"),
        textfont={"size": 13, "color": theme.PROFILE},
        unselected={"marker": {"opacity": 0}, "textfont": {"color": theme.PROFILE}},
        cliponaxis=False,
        hoverinfo="skip",
        meta="name",
        showlegend=False,
    )


def strength_with_age(
    specimens: pd.DataFrame, limits: list[tuple[float, float]], own: set[str], system: str
) -> go.Figure:
    """One point per tested specimen at its age when tested; groups in ``own`` are blue.

    ``limits``: age in days and minimum strength in MPa of each criterion.
    """
    unit = units.shown_unit("strength_mpa", system)
    names = ["specimen_id", "sample_group_id"]
    rows = specimens[specimens["strength_mpa"].notna() & specimens["tested_age_days"].notna()]
    figure = go.Figure()
    mine = rows["sample_group_id"].isin(own)
    for part, word, colour, size in (
        (rows[~mine], "specimen", theme.QUIET, 9),
        (rows[mine], "specimen of the selected piles", theme.PROFILE, 12),
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
            "represents %{customdata[2]} piles<extra></extra>",
        )  # fmt: skip
    last = max([1.0, *rows["tested_age_days"], *(age for age, _ in limits)])
    for age, min_mpa in limits:
        minimum = units.shown_values(min_mpa, "strength_mpa", system)
        word = f"minimum from {age:g} days on, {minimum:.{unit.decimals}f} {unit.symbol}"
        _level(figure, (age, 1.12 * last), minimum, word)
        figure.data[-1].update(line={"color": theme.REQUIRED, "width": 3, "dash": "dash"})
        figure.data[-1].meta = "minimum"
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


HEAD, EACH = 190, 52  # pixels: axes and legend, each lift
SPLIT = (0.56, 0.64)  # where volumes end and ratios begin, of the width
LIFT_LIMITS = {
    "min_cumulative_ratio": ("minimum cumulative", theme.REQUIRED, "dot"),
    "min_lift_ratio": ("minimum of a lift", theme.REQUIRED, "dash"),
    "alarm_ratio": ("alarm", theme.RATED, "dashdot"),
}


def lifts_of_pile(lifts: pd.DataFrame, limits: dict[str, float], system: str) -> go.Figure:
    """Bars of net grout against void per lift, and beside them the ratios of lift and pile.

    lifts: one row per lift in the order of the work: run_no, lift_no, from_mm, to_mm, net_l,
    void_l, take_ratio, cumulative_ratio; an empty lift_no is a gap in which no lift is recorded.
    limits: by the names of ``LIFT_LIMITS``, those that are set.
    """
    figure = go.Figure()
    rank = -np.arange(len(lifts), dtype=float)
    _volumes(figure, lifts, rank, system)
    _unknown(figure, lifts, rank)
    _ratios(figure, lifts, rank)
    reach = _lift_limits(figure, lifts, limits, len(lifts))
    _lift_axes(figure, lifts, rank, reach, system)
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
            x=lifts["cumulative_ratio"], mode="lines+markers", name="cumulative",
            meta="cumulative", line={"color": theme.PROFILE, "width": 2.5},
            marker={"symbol": "diamond", "size": 10, "color": theme.PROFILE},
            hovertemplate="cumulative %{x:.2f}<extra></extra>", **common,
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


def _lift_limits(
    figure: go.Figure, lifts: pd.DataFrame, limits: dict[str, float], count: int
) -> float:
    """Lines of the limits; returns the maximum ratio that the axis has to hold."""
    held = [1.0, *lifts["cumulative_ratio"].dropna(), *lifts["take_ratio"].dropna()]
    for name, (word, colour, dash) in LIFT_LIMITS.items():
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


def _lift_axes(
    figure: go.Figure, lifts: pd.DataFrame, rank: np.ndarray, reach: float, system: str
) -> None:
    plain = {"gridcolor": theme.GRID, "zeroline": False, "title_font": {"size": 15}, "side": "top"}
    figure.update_yaxes(
        tickmode="array", tickvals=rank, ticktext=_lift_names(lifts, system), showgrid=False,
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


def _lift_names(lifts: pd.DataFrame, system: str) -> list[str]:
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
