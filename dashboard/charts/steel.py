"""Steel: the string of one pile as a drawing, and the trace from pile to certificate as boxes.

Along the axis of a string everything is to one scale and the lean is true, so the figure has a
fixed size in pixels. Across the axis diameters are drawn wider than they are.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from core import units
from dashboard import theme
from dashboard.charts.depth_axis import ticks_downward
from dashboard.literal import figure_text

ROOM = (560, 420)  # pixels that the drawing fills at most, down and across
FINEST = 120  # pixels for a metre or foot at most, so that a short pile is not blown up
SIDE, GUTTER, EDGE = 110, 290, 40  # pixels: left of the string, for labels, above and below
LABEL = 40  # pixels from one label to the next


def string_drawing(
    parts: pd.DataFrame, helices: pd.DataFrame, column: pd.DataFrame, axis: Axis, system: str
) -> go.Figure:
    """The string from head to toe with ground, cut-off level, helices, first disc and grout.

    parts: place, component, stamp, length_mm, top_mm, bottom_mm, one row per component from the
    toe up; helices: helix_mm, depth_mm; column: from_mm, to_mm, bore_mm.
    """
    figure, sheet = go.Figure(), Sheet(axis, system)
    drawn = parts[parts["top_mm"].notna() & parts["bottom_mm"].notna()]
    shaft = 80.0 if pd.isna(axis.shaft_mm) else axis.shaft_mm
    _column(figure, sheet, column)
    _components(figure, sheet, drawn, shaft, axis.cut_mm)
    _plates(figure, sheet, helices, axis)
    sheet.at(0.0)
    if pd.notna(axis.cut_off_level_mm):
        sheet.at(axis.cut_off_level_mm)
    scale = min(ROOM[0] / _span(sheet.y), ROOM[1] / _span(sheet.x), FINEST)
    low, high = _room(sheet, parts, scale)
    _labels(figure, sheet, parts, (low, high, scale), system)
    _levels(figure, sheet, axis, scale)
    _toe(figure, sheet, axis, parts)
    _frame(figure, sheet, (low, high, scale), system)
    return figure


def _span(values: list[float]) -> float:
    return max(max(values) - min(values), 0.5)


def _room(sheet: Sheet, parts: pd.DataFrame, scale: float) -> tuple[float, float]:
    """Lowest and highest place on the figure: the string, and every label under the other."""
    low, high = min(sheet.y) - EDGE / scale, max(sheet.y) + EDGE / scale
    lacking = max(LABEL * (len(parts) + 1) / scale - (high - low), 0.0) / 2
    return low - lacking, high + lacking


def _column(figure: go.Figure, sheet: Sheet, column: pd.DataFrame) -> None:
    lines = Lines()
    for row in column.itertuples():
        lines.add(sheet.box(row.from_mm, row.to_mm, row.bore_mm))
    edge = {"color": theme.QUIET, "width": 1, "dash": "dot"}
    lines.draw(figure, "grout column", edge, fill="toself", fillcolor=theme.BAND)


def _components(
    figure: go.Figure, sheet: Sheet, drawn: pd.DataFrame, shaft_mm: float, cut_mm: float
) -> None:
    stays = -np.inf if pd.isna(cut_mm) else cut_mm
    steel, cut = Lines(), Lines()
    for row in drawn.itertuples():
        if row.bottom_mm > stays:
            steel.add(sheet.box(max(row.top_mm, stays), row.bottom_mm, shaft_mm))
        if row.top_mm < stays:
            cut.add(sheet.box(row.top_mm, min(row.bottom_mm, stays), shaft_mm))
    edge = {"color": theme.QUIET, "width": 1.5}
    steel.draw(figure, "steel", edge, fill="toself", fillcolor=theme.STEEL)
    cut.draw(figure, "cut off", edge | {"dash": "dot"})
    joints = Lines()
    for joint in drawn["top_mm"].iloc[:-1]:
        joints.add(sheet.plate(joint, 2 * shaft_mm))
    joints.draw(figure, "coupling", {"color": theme.QUIET, "width": 5})


def _plates(figure: go.Figure, sheet: Sheet, helices: pd.DataFrame, axis: Axis) -> None:
    disc = pd.DataFrame({"depth_mm": [axis.first_disc_mm], "wide_mm": [axis.disc_mm]})
    for word, rows, colour in (
        ("helix", helices.rename(columns={"helix_mm": "wide_mm"}), theme.PROFILE),
        ("first disc", disc, theme.DISC),
    ):
        lines = Lines()
        for row in rows.dropna(subset=["depth_mm", "wide_mm"]).itertuples():
            label = f"{word} {units.text(row.wide_mm, 'diameter_mm', sheet.system)}"
            lines.add(sheet.plate(row.depth_mm, row.wide_mm), label)
        style = {"customdata": lines.labels, "hovertemplate": "%{customdata}<extra></extra>"}
        lines.draw(figure, word, {"color": colour, "width": 6}, hoverinfo=None, **style)


def _labels(
    figure: go.Figure,
    sheet: Sheet,
    parts: pd.DataFrame,
    room: tuple[float, float, float],
    system: str,
) -> None:
    """Stamp, place, kind and length beside each component, none over another, with a lead line."""
    if parts.empty:
        return
    low, high, scale = room
    rows = parts.sort_values("place", ascending=False, kind="stable")
    middles = [(row.top_mm + row.bottom_mm) / 2 for row in rows.itertuples()]
    points = [sheet.at(middle) if pd.notna(middle) else None for middle in middles]
    wanted = [high if point is None else point[1] for point in points]
    half = LABEL / scale / 2
    places = spread(wanted, LABEL / scale, low + half, high - half)
    edge = max(sheet.x) + 24 / scale
    leads = Lines()
    for row, point, place in zip(rows.itertuples(), points, places, strict=True):
        figure.add_annotation(
            x=edge, y=place, text=_label_of(row, system), showarrow=False, xanchor="left",
            yanchor="middle", align="left", font={"size": 13},
        )  # fmt: skip
        if point is not None:
            leads.add([point, (edge, place)])
    leads.draw(figure, "leads", {"color": theme.QUIET_LINE, "width": 1}, showlegend=False)


def _label_of(row, system: str) -> str:
    length = units.text(row.length_mm, "length_mm", system)
    length = "length not recorded" if pd.isna(row.length_mm) else length
    kind = row.component if isinstance(row.component, str) else "not on the register"
    return f"<b>{figure_text(row.stamp)}</b><br>{row.place} · {figure_text(kind)} · {length}"


def _levels(figure: go.Figure, sheet: Sheet, axis: Axis, scale: float) -> None:
    """Ground and cut-off level: the upper one is named above its line, the lower one below."""
    left, right = min(sheet.x) - SIDE / scale, max(sheet.x) + 16 / scale
    places = [("ground", 0.0, theme.QUIET)]
    if pd.notna(axis.cut_off_level_mm):
        places.append(("cut-off level", sheet.at(axis.cut_off_level_mm)[1], theme.QUIET))
    top = max(place for _, place, _ in places)
    for word, place, colour in places:
        level = Lines()
        level.add([(left, place), (right, place)])
        dash = "solid" if word == "ground" else "dash"
        level.draw(figure, word, {"color": colour, "width": 2, "dash": dash}, showlegend=False)
        figure.add_annotation(
            x=left, y=place, text=word, showarrow=False, xanchor="left", font={"size": 13},
            yanchor="bottom" if place == top else "top",
        )  # fmt: skip


def _toe(figure: go.Figure, sheet: Sheet, axis: Axis, parts: pd.DataFrame) -> None:
    """The depth of the toe under it, and the batter beside a plumb line."""
    toe = parts["bottom_mm"].max()
    if pd.notna(toe):
        x, _ = sheet.at(toe)
        figure.add_annotation(
            x=x, y=min(sheet.y), yshift=-4, showarrow=False, yanchor="top", font={"size": 13},
            text=f"toe {units.text(toe, 'toe_mm', sheet.system)} along the axis",
        )  # fmt: skip
    if not axis.batter_deg > 0:
        return
    toward = "" if pd.isna(axis.azimuth_deg) else f"<br>toe towards {axis.azimuth_deg:.0f}°"
    plumb = 0.45 * min(sheet.y)
    figure.add_shape(
        type="line", x0=0, x1=0, y0=0, y1=plumb, name="plumb",
        line={"color": theme.QUIET, "width": 1.5, "dash": "dot"},
    )  # fmt: skip
    figure.add_annotation(
        x=0, y=plumb, xshift=-6, showarrow=False, xanchor="right", yanchor="bottom", align="right",
        font={"size": 13},
        text=f"batter {axis.batter_deg:.1f}°<br>from vertical{toward}",
    )  # fmt: skip


def _frame(figure: go.Figure, sheet: Sheet, room: tuple[float, float, float], system: str) -> None:
    low, high, scale = room
    left, right = min(sheet.x) - SIDE / scale, max(sheet.x) + GUTTER / scale
    margin = {"l": 58, "r": 4, "t": 8, "b": 76, "autoexpand": False}
    figure.update_xaxes(range=[left, right], visible=False, fixedrange=True)
    figure.update_yaxes(
        range=[low, high], fixedrange=True, zeroline=False, gridcolor=theme.GRID,
        scaleanchor="x", constrain="domain",  # a batter looks as steep as it is at any width
        title_text=units.shown_name("depth_mm", system) + ", vertical", title_font={"size": 15},
        **ticks_downward(-min(sheet.y)),
    )  # fmt: skip
    figure.update_layout(
        width=(right - left) * scale + margin["l"] + margin["r"],
        height=(high - low) * scale + margin["t"] + margin["b"],
        margin=margin,
        font={"size": 14, "family": theme.FONT},
        legend={"orientation": "h", "y": 0, "yref": "container", "yanchor": "bottom", "x": 0},
        paper_bgcolor="rgba(0,0,0,0)",
        plot_bgcolor="rgba(0,0,0,0)",
        hovermode="closest",
    )


WIDER = 3.0  # how much wider than to scale diameters are drawn
Point = tuple[float, float]


@dataclass(frozen=True)
class Axis:
    """The axis of one pile and its marks, in millimetres along it; NaN where one is not known."""

    batter_deg: float = 0.0
    azimuth_deg: float = float("nan")
    shaft_mm: float = float("nan")
    first_disc_mm: float = float("nan")
    disc_mm: float = float("nan")
    cut_off_level_mm: float = float("nan")
    cut_mm: float = float("nan")


class Sheet:
    """From places along and across the axis to places on the figure, in the lengths shown."""

    def __init__(self, axis: Axis, system: str) -> None:
        lean = np.deg2rad(np.nan_to_num(axis.batter_deg))
        self.down = float(np.sin(lean)), -float(np.cos(lean))
        self.across = float(np.cos(lean)), float(np.sin(lean))
        self.system = system
        self.x: list[float] = []
        self.y: list[float] = []

    def at(self, along_mm: float, across_mm: float = 0.0) -> Point:
        """Where a point is drawn; the sheet grows to hold it."""
        along = float(units.shown_values(along_mm, "depth_mm", self.system))
        off = float(units.shown_values(across_mm, "depth_mm", self.system)) * WIDER
        x = self.down[0] * along + self.across[0] * off
        y = self.down[1] * along + self.across[1] * off
        self.x.append(x)
        self.y.append(y)
        return x, y

    def box(self, top_mm: float, bottom_mm: float, wide_mm: float) -> list[Point]:
        """Outline of a length of the axis."""
        half = wide_mm / 2
        corners = ((top_mm, -half), (top_mm, half), (bottom_mm, half), (bottom_mm, -half))
        return [self.at(*corner) for corner in (*corners, corners[0])]

    def plate(self, along_mm: float, wide_mm: float) -> list[Point]:
        """A line square to the axis."""
        return [self.at(along_mm, side * wide_mm) for side in (-0.5, 0.5)]


class Lines:
    """Points of several lines for one trace, parted by gaps."""

    def __init__(self) -> None:
        self.x: list[float | None] = []
        self.y: list[float | None] = []
        self.labels: list[str | None] = []

    def add(self, points: list[Point], label: str | None = None) -> None:
        """One line more; ``label`` is shown at each of its points."""
        self.x += [*(x for x, _ in points), None]
        self.y += [*(y for _, y in points), None]
        self.labels += [*(label for _ in points), None]

    def draw(self, figure: go.Figure, word: str, line: dict[str, Any], **more: Any) -> None:
        """Add them to ``figure`` as the trace ``word``, unless there is none."""
        if self.x:
            style = {"mode": "lines", "name": word, "meta": word, "hoverinfo": "skip", **more}
            figure.add_trace(go.Scatter(x=self.x, y=self.y, line=line, **style))


def spread(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Places from the highest to the lowest, each at least ``gap`` under the one before.

    wanted: where each would like to be, in the order they are to appear in, highest first. They
    stay between ``low`` and ``high`` while there is room; where there is none, the gap holds.
    """
    places: list[float] = []
    for place in wanted:
        free = places[-1] - gap if places else high
        places.append(min(place, free))
    floor = low
    for at in range(len(places) - 1, -1, -1):
        places[at] = max(places[at], floor)
        floor = places[at] + gap
    return places


LEVELS = ("pile", "component", "heat", "certificate")
HALF_WIDTH, HALF_HEIGHT = 0.42, 0.38
ROW_PX, HEAD_PX = 34, 60
LONGEST = 25  # signs that fit into a box on a tablet held upright


def steel_trace(trace_boxes: pd.DataFrame, lines: pd.DataFrame) -> go.Figure:
    """Boxes of each level from the top down, joined to those of the next one.

    ``trace_boxes``: level, box, count, broken; ``lines``: level, box, next_box, broken.
    """
    rows = int(trace_boxes["level"].value_counts().max())
    placed = trace_boxes.assign(
        x=trace_boxes["level"].map(LEVELS.index), y=_places(trace_boxes, rows)
    )
    figure = go.Figure([*_lines(placed, lines), _handles(placed)])
    for box in placed.itertuples():
        figure.add_shape(
            type="rect",
            x0=box.x - HALF_WIDTH,
            x1=box.x + HALF_WIDTH,
            y0=box.y - HALF_HEIGHT,
            y1=box.y + HALF_HEIGHT,
            line={"color": theme.OBJECTION if box.broken else theme.QUIET, "width": 1.5},
            fillcolor=theme.BOX,
            layer="below",
        )
        figure.add_annotation(
            x=box.x, y=box.y, text=_label(box), showarrow=False, font={"color": theme.BOX_TEXT}
        )
    for x, level in enumerate(LEVELS):
        text = f"<b>{level.capitalize()}</b>"
        figure.add_annotation(x=x, y=0.75, text=text, showarrow=False)
    _layout(figure, rows)
    return figure


def _places(trace_boxes: pd.DataFrame, rows: int) -> pd.Series:
    """DepthAxis places: the boxes of a level share the height of the fullest one."""
    by_level = trace_boxes.groupby("level")["box"]
    return -(by_level.cumcount() + 0.5) * rows / by_level.transform("size")


def _label(box) -> str:
    sign = theme.RESULT_SIGNS["not met"] + " " if box.broken else ""
    count = f" ({box.count:,})" if box.count > 1 else ""
    room = LONGEST - len(sign) - len(count)
    text = box.box if len(box.box) <= room else box.box[: room - 1] + "…"
    return sign + figure_text(text) + count


def _lines(placed: pd.DataFrame, lines: pd.DataFrame) -> list[go.Scatter]:
    places = placed.set_index(["level", "box"])["y"]
    following = dict(pairwise(LEVELS))
    ends: dict[bool, tuple[list[float], list[float]]] = {False: ([], []), True: ([], [])}
    for line in lines.itertuples():
        x, y = ends[bool(line.broken)]
        start = LEVELS.index(line.level)
        x += [start + HALF_WIDTH, start + 1 - HALF_WIDTH, np.nan]
        y += [places[line.level, line.box], places[following[line.level], line.next_box], np.nan]
    return [
        go.Scatter(
            x=x, y=y, mode="lines", hoverinfo="skip", meta="broken" if broken else "whole",
            line={"color": theme.QUIET, "width": 1.2, "dash": "dot" if broken else "solid"},
        )
        for broken, (x, y) in ends.items()
        if x
    ]  # fmt: skip


def _handles(placed: pd.DataFrame) -> go.Scatter:
    """Unseen markers that tell a box's whole text when hovered."""
    return go.Scatter(
        x=placed["x"],
        y=placed["y"],
        customdata=placed[["box", "count"]].assign(box=placed["box"].map(figure_text)),
        mode="markers",
        meta="handles",
        marker={"size": 24, "opacity": 0, "color": theme.QUIET},
        hovertemplate="%{customdata[0]}: %{customdata[1]}<extra></extra>",
    )


def _layout(figure: go.Figure, rows: int) -> None:
    hidden = {"visible": False, "fixedrange": True}
    figure.update_xaxes(range=[-0.45, len(LEVELS) - 0.55], **hidden)
    figure.update_yaxes(range=[-rows, 1.1], **hidden)
    figure.update_annotations(font_size=13, font_family=theme.FONT)
    figure.update_layout(
        height=HEAD_PX + ROW_PX * rows,
        margin={"l": 0, "r": 0, "t": 10, "b": 10},
        showlegend=False,
        dragmode=False,
        hovermode="closest",
        paper_bgcolor="rgba(0,0,0,0)",
        plot_bgcolor="rgba(0,0,0,0)",
    )
