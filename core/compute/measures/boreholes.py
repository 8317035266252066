"""Boreholes beside a pile: how far away, which layer holds a helix, what lies above a depth.

Frames in, frames out. Layers stand from the ground down, as their question gives them.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from core import units
from core.compute import geometry
from core.compute import piles as lengths

M_OF_A_MM = units.factor("mm", "m")


def by_distance(boreholes: pd.DataFrame, easting_m: float, northing_m: float) -> pd.DataFrame:
    """``boreholes`` with away_mm, the distance in plan of each from a point, the nearest first."""
    offsets = (
        (boreholes[name] - place) / M_OF_A_MM
        for name, place in (("easting_m", easting_m), ("northing_m", northing_m))
    )
    away = boreholes.assign(away_mm=geometry.plan_offset(*offsets))
    return away.sort_values("away_mm", kind="stable").reset_index(drop=True)


def in_layers(
    helices: pd.DataFrame, layers: pd.DataFrame, batter_deg: float, higher_m: float
) -> pd.DataFrame:
    """``helices`` (depth_mm along the axis) with depth_m in the borehole and layer.

    ``higher_m``: how far the borehole's ground lies above the pile's. ``layer`` is the place in
    ``layers`` of the one that holds the helix, -1 where none does.
    """
    depth = lengths.vertical_length(helices["depth_mm"], batter_deg) * M_OF_A_MM + higher_m
    place = np.searchsorted(layers["from_mm"] * M_OF_A_MM, depth, side="right") - 1
    bottom = layers["to_mm"].to_numpy(dtype=float)[place] * M_OF_A_MM
    return helices.assign(depth_m=depth, layer=np.where(depth < bottom, place, -1))


def layers_above(layers: pd.DataFrame, depth_m: float) -> pd.DataFrame:
    """Layers that reach above ``depth_m``, with thickness_m of the part above it."""
    top, bottom = (layers[name].astype(float) * M_OF_A_MM for name in ("from_mm", "to_mm"))
    thick = bottom.clip(upper=depth_m) - top
    return layers.assign(thickness_m=thick)[top < depth_m]
