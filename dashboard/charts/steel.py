"""The chain of steel as boxes in four columns: pile, component, heat, certificate."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from dashboard import theme
from dashboard.literal import figure_text

LEVELS = ("pile", "component", "heat", "certificate")
HALF_WIDTH, HALF_HEIGHT = 0.42, 0.38
ROW_PX, HEAD_PX = 34, 60
LONGEST = 25  # signs that fit into a box on a tablet held upright


def steel_chain(boxes: pd.DataFrame, lines: pd.DataFrame) -> go.Figure:
    """Boxes of each level from the top down, joined to those of the next one.

    ``boxes``: level, box, count, broken; ``lines``: level, box, next_box, broken.
    """
    rows = int(boxes["level"].value_counts().max())
    placed = boxes.assign(x=boxes["level"].map(LEVELS.index), y=_places(boxes, rows))
    figure = go.Figure([*_lines(placed, lines), _handles(placed)])
    for box in placed.itertuples():
        figure.add_shape(
            type="rect",
            x0=box.x - HALF_WIDTH,
            x1=box.x + HALF_WIDTH,
            y0=box.y - HALF_HEIGHT,
            y1=box.y + HALF_HEIGHT,
            line={"color": theme.RATED if box.broken else theme.QUIET, "width": 1.5},
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


def _places(boxes: pd.DataFrame, rows: int) -> pd.Series:
    """Upright places: the boxes of a level share the height of the fullest one."""
    by_level = boxes.groupby("level")["box"]
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
