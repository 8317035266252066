"""An axis that leans, and the sheet on which what lies along it is drawn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import plotly.graph_objects as go

from core import units

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
        self.told: list[str | None] = []

    def add(self, points: list[Point], told: str | None = None) -> None:
        """One line more; ``told`` is said of each of its points."""
        self.x += [*(x for x, _ in points), None]
        self.y += [*(y for _, y in points), None]
        self.told += [*(told for _ in points), None]

    def draw(self, figure: go.Figure, word: str, line: dict[str, Any], **more: Any) -> None:
        """Add them to ``figure`` as the trace ``word``, unless there is none."""
        if self.x:
            style = {"mode": "lines", "name": word, "meta": word, "hoverinfo": "skip", **more}
            figure.add_trace(go.Scatter(x=self.x, y=self.y, line=line, **style))
