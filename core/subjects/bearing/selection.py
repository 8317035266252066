"""The nearest borehole of a pile, the helices of its set, and the layers that hold and cover them.

Plain functions on columns and codes; they choose rows and place them, and measure nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from core import units
from core.formulas import geometry, steel
from core.records.current_rows import Array, CurrentRows
from core.records.matching import row_of

M_OF_A_MM = units.factor("mm", "m")


def with_layers(boreholes: CurrentRows, layers: CurrentRows) -> CurrentRows:
    """Boreholes of which a layer is recorded."""
    found = row_of(layers, boreholes, "borehole_id")
    return boreholes.where(np.isin(np.arange(len(boreholes)), found))


def nearest(easting_m: Array, northing_m: Array, boreholes: CurrentRows) -> tuple[Array, Array]:
    """Row of the borehole nearest to each point in plan, the first of equal ones, and how far [mm].

    -1 and NaN where there is none, or no point.
    """
    place = np.full(len(easting_m), -1)
    away = np.full(len(easting_m), np.nan)
    known = np.flatnonzero(~np.isnan(easting_m) & ~np.isnan(northing_m))
    if len(boreholes) and len(known):
        points = ((easting_m, "easting_m"), (northing_m, "northing_m"))
        every = geometry.plan_offset(
            *((boreholes.values(name) - own[known, None]) / M_OF_A_MM for own, name in points)
        )
        place[known] = every.argmin(axis=1)
        away[known] = every.min(axis=1)
    return place, away


def heights(helix_mm: Sequence[float], top_helix_above_toe_mm: float) -> list[tuple[float, float]]:
    """Diameter of each helix and its height above the toe along the axis, the top one first.

    ``helix_mm`` counts from the toe up. Below the top one each is spaced as
    `core.formulas.steel.helix_below` does, and none lies below the toe.
    """
    height, found = float(top_helix_above_toe_mm), []
    for place, diameter in enumerate(reversed(helix_mm)):
        if place:
            height = max(float(steel.helix_below(height, diameter)), 0.0)
        found.append((float(diameter), height))
    return found


@dataclass(frozen=True)
class InGround:
    """Where points lie in the layers of boreholes.

    ``layer``: the row of the layer that holds each point, -1 for none; ``point`` and ``above``:
    pairs of a point and a layer that reaches above it, from the ground down, with the thickness
    of the part above the point.
    """

    layer: Array
    point: Array
    above: Array
    thickness_m: Array


def in_ground(borehole: Array, depth_m: Array, layers: CurrentRows, of: Array) -> InGround:
    """Points at ``depth_m`` in ``borehole`` each; ``of``: the borehole of each layer."""
    order = np.lexsort((layers.values("from_mm"), of))
    begin, end = (np.searchsorted(of[order], borehole, side=side) for side in ("left", "right"))
    number = end - begin
    point = np.repeat(np.arange(len(depth_m)), number)
    within = np.arange(number.sum()) - np.repeat(number.cumsum() - number, number)
    layer = order[np.repeat(begin, number) + within]
    top, bottom = (layers.values(name).astype(float) * M_OF_A_MM for name in ("from_mm", "to_mm"))
    top, bottom, depth = top[layer], bottom[layer], depth_m[point]
    found = np.full(len(depth_m), -1)
    begun = top <= depth  # of these the last one, which may end above the point
    found[point[begun]] = np.where(depth < bottom, layer, -1)[begun]
    higher = top < depth
    thickness = np.minimum(bottom, depth) - top
    return InGround(found, point[higher], layer[higher], thickness[higher])
