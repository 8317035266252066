"""The upright axis of profiles: depth along the axis downward, or level, in the units shown."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from core import units
from dashboard.literal import figure_text

WORDS = {"depth_mm": " along the axis", "level_m": ""}
STEPS = (0.5, 1, 2, 5, 10, 20, 50, 100, 1e9)
MOST_TICKS = 12


class DepthAxis:
    """Where readings are on a figure, and what is written beside them.

    Depth is plotted as its negative with relabelled ticks: a reversed axis draws some lines flat.
    """

    def __init__(self, column: str, system: str, held: pd.Series) -> None:
        """``held``: every depth or level that the figure has to hold."""
        self.column, self.system = column, system
        self.down = column == "depth_mm"
        places = self.place(held.dropna())
        high = 0.0 if self.down else float(places.max()) if len(places) else 1.0
        self.ends = (high, float(places.min()) if len(places) else high - 1.0)
        self.unit = units.shown_unit("torque_nm", system)
        self.title = units.shown_name(column, system) + WORDS[column]
        self.sentence = (
            f"<b>%{{customdata[1]}}</b><br>%{{customdata[2]}}: %{{x:,.{self.unit.decimals}f}} "
            f"{self.unit.symbol}<extra></extra>"
        )

    def place(self, values: pd.Series) -> pd.Series:
        """Where depths or levels are on the axis."""
        shown: pd.Series = units.shown_values(values.astype(float), self.column, self.system)
        return -shown if self.down else shown

    def torque(self, values: pd.Series) -> pd.Series:
        """Torques in the unit shown."""
        shown: pd.Series = units.shown_values(values.astype(float), "torque_nm", self.system)
        return shown

    def customdata(self, readings: pd.DataFrame) -> Any:
        """Per reading the pile that a click chooses, and as drawn: pile, depth or level."""
        unit = units.shown_unit(self.column, self.system)
        values = units.shown_values(readings[self.column].astype(float), self.column, self.system)
        at = values.map(f"{{:,.2f}} {unit.symbol}".format)
        piles = readings["pile_id"].astype(object)
        return np.column_stack([piles, piles.map(figure_text), at.astype(object)])

    def ticks(self) -> dict[str, Any]:
        """Range and ticks that hold everything; a depth starts at the ground."""
        high, low = self.ends
        room = max(high - low, 1.0)
        step = next(s for s in STEPS if room / s <= MOST_TICKS)
        ticks = np.arange(np.floor(low / step), np.ceil(high / step) + 1) * step
        return {
            "range": [low - 0.05 * room, high + 0.02 * room],
            "tickmode": "array",
            "tickvals": ticks,
            "ticktext": [f"{-tick if self.down and tick else tick:g}" for tick in ticks],
        }


def ticks_downward(deepest: float) -> dict[str, Any]:
    """Ticks from the ground down to ``deepest`` of an axis that plots depth as its negative."""
    step = next(s for s in STEPS if deepest / s <= MOST_TICKS)
    ticks = np.arange(0, deepest + step, step)
    return {"tickmode": "array", "tickvals": -ticks, "ticktext": [f"{tick:g}" for tick in ticks]}
