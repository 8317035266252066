"""Lines of a take figure: quiet piles as one trace, chosen ones bold, what is asked.

Depth is plotted as its negative; all lines are SVG.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from core import units
from dashboard import theme
from dashboard.charts.chosen_profiles import DASHES, SYMBOLS
from dashboard.charts.upright import Upright
from dashboard.literal import figure_text

MOST_HANDLES = 3000  # points that can be hovered and clicked; more make a browser crawl
VIEWS = {
    "cumulative_ratio": "cumulative take ratio",
    "take_ratio": "take ratio of each lift",
    "net": "net grout against void",
}
# Lines of each view: limit, its word in the legend, colour, dash.
ASKED = {
    "cumulative_ratio": (("min_cumulative_ratio", "least asked"), ("alarm_ratio", "alarm")),
    "take_ratio": (("min_lift_ratio", "least asked of a lift"),),
    "net": (("min_cumulative_ratio", "least asked"), ("alarm_ratio", "alarm")),
}
STYLES = {"alarm_ratio": (theme.RATED, "dashdot")}
ASKED_STYLE = (theme.REQUIRED, "dash")


def points(lifts: pd.DataFrame, over: str, axis: Upright) -> pd.DataFrame:
    """Per pile the points of its line, x and y as shown, with the pile and its lift in words."""
    told = lifts["where"] + ", toe at " + _words(lifts["reach_mm"], axis.system)
    rows = pd.DataFrame({"pile": lifts["pile_id"].astype(object), "told": told.astype(object)})
    if over == "net":
        rows["x"] = units.shown_values(lifts["cumulative_void_l"], "void_l", axis.system)
        rows["y"] = units.shown_values(lifts["cumulative_net_l"], "net_l", axis.system)
        begin = rows.drop_duplicates("pile").assign(x=0.0, y=0.0, told="begin")
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


def separated(points: pd.DataFrame) -> pd.DataFrame:
    """``points`` ready to be one line: with an empty row between two piles."""
    new = points["pile"].ne(points["pile"].shift())
    ends = np.flatnonzero(new[1:]) + 0.5
    blank = pd.DataFrame({"pile": None, "told": None, "x": np.nan, "y": np.nan}, index=ends)
    return pd.concat([points, blank]).sort_index() if len(ends) else points


def quiet(points: pd.DataFrame) -> list[go.Scatter]:
    """One trace of all lines that are not chosen."""
    if points["x"].isna().all():
        return []
    rows = separated(points)
    return [
        go.Scatter(
            x=rows["x"], y=rows["y"], mode="lines", name="piles of the group", meta="quiet",
            line={"color": theme.QUIET_LINE, "width": 1.2}, hoverinfo="skip", showlegend=True,
        )
    ]  # fmt: skip


def handles(points: pd.DataFrame, over: str) -> list[go.Scatter]:
    """Unseen markers on the quiet lines: they name a pile when hovered, choose it when clicked."""
    rows = points[points["x"].notna() & points["told"].ne("begin")]
    rows = rows.iloc[:: -(-len(rows) // MOST_HANDLES) or 1]
    if rows.empty:
        return []
    return [
        go.Scatter(
            x=rows["x"],
            y=rows["y"],
            customdata=_told(rows),
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


def _told(points: pd.DataFrame) -> pd.DataFrame:
    """Per point the pile that a click chooses, and as drawn: pile, lift."""
    pile, told = points["pile"], points["told"]
    return pd.DataFrame(
        {"pile": pile, "drawn": pile.map(figure_text), "told": told.map(figure_text)}
    )


def bold(points: pd.DataFrame, chosen: Sequence[str], over: str) -> list[go.Scatter]:
    """A line and a name per chosen pile, the pile itself the boldest."""
    found: list[go.Scatter] = []
    for rank, pile in enumerate(reversed(chosen)):
        own = points[points["pile"].eq(pile)]
        if own["x"].isna().all():
            continue
        line = {"color": theme.PROFILE, "width": 3.5 if rank == 0 else 2.5}
        line["dash"] = DASHES[rank % len(DASHES)]
        marker = {"symbol": SYMBOLS[rank % len(SYMBOLS)], "size": 7, "color": theme.PROFILE}
        found.append(
            go.Scatter(
                x=own["x"], y=own["y"], customdata=_told(own), mode="lines+markers",
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


def asked(
    limits: Mapping[str, float], over: str, axis: Upright, ends: tuple[float, float]
) -> list[go.Scatter]:
    """What the project asks, as far as it is set; ``ends``: greatest x and y of the figure."""
    found = []
    for name, word in ASKED[over]:
        if name not in limits:
            continue
        value = limits[name]
        colour, dash = STYLES.get(name, ASKED_STYLE)
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
