"""Where the parts of one string lie along its axis: components, helices, disc and grout column.

Depths count along the axis from the ground, downward; what stands above it is negative.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd

from core import units
from core.formulas import grout, steel
from core.formulas import piles as lengths

COLUMN = ("from_mm", "to_mm", "bore_mm")


def parts_along_axis(parts: pd.DataFrame, toe_mm: float) -> pd.DataFrame:
    """``parts`` (place, length_mm) from the toe up, with the depths top_mm and bottom_mm.

    Above the first component without a length nothing has a depth.
    """
    ordered = parts.sort_values("place", kind="stable").reset_index(drop=True)
    length = ordered["length_mm"].astype(float)
    unknown = length.isna().cummax()
    below = length.fillna(0.0).cumsum().shift(fill_value=0.0)
    bottom = (toe_mm - below).mask(unknown.shift(fill_value=False))
    return ordered.assign(bottom_mm=bottom, top_mm=(bottom - length).mask(unknown))


def helices_along_axis(
    helix_mm: Sequence[float], top_helix_above_toe_mm: float, toe_mm: float
) -> pd.DataFrame:
    """One row per helix, the top one first: helix_mm, depth_mm.

    ``helix_mm`` counts from the toe up. The settings say where the top helix sits; those below it
    are spaced as `core.formulas.steel.helix_below` does, and none lies below the toe.
    """
    height, rows = float(top_helix_above_toe_mm), []
    for place, diameter in enumerate(reversed(helix_mm)):
        if place:
            height = max(float(steel.helix_below(height, diameter)), 0.0)
        rows.append((float(diameter), toe_mm - height))
    return pd.DataFrame(rows, columns=["helix_mm", "depth_mm"]).astype(float)


def grout_column(pile: pd.Series) -> pd.DataFrame:
    """Stretches of the hole that the grout fills, from the ground down: from_mm, to_mm, bore_mm.

    ``pile`` gives toe_mm, grout_from (nothing when it is not grouted), column_begins_mm, disc_mm,
    predrilled_diameter_mm and predrilled_length_mm. No row where one that it takes is not known.
    """
    foot = float(grout.column_length(pile["toe_mm"], pile["column_begins_mm"]))
    disc = float(pile["disc_mm"])
    wide = float(np.nan_to_num(pile["predrilled_diameter_mm"])) > float(np.nan_to_num(disc))
    drilled = float(np.nan_to_num(pile["predrilled_length_mm"])) if wide else 0.0
    drilled = min(drilled, foot)
    rows = [(0.0, drilled, float(pile["predrilled_diameter_mm"])), (drilled, foot, disc)]
    grouted = pd.notna(pile["grout_from"])
    kept = [row for row in rows if grouted and row[1] > row[0] and not np.isnan(row).any()]
    return pd.DataFrame(kept, columns=list(COLUMN)).astype(float)


def level_depth(ground_level_m: float, level_m: float, batter_deg: float) -> float:
    """Depth along the axis at which the axis passes a level [mm]; NaN where one is not known."""
    height = (ground_level_m - level_m) * units.factor("m", "mm")
    return float(lengths.axial_length(height, batter_deg))
