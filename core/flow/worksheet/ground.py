"""Where a pile's helices lie in the nearest borehole, and the stress of the ground there."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, hypot, isnan, radians

import pandas as pd

from core import units
from core.compute import ground as formulas
from core.compute.measures.along_axis import helices_along_axis
from core.flow.worksheet.described import described
from core.flow.worksheet.known import Known
from core.flow.worksheet.steps import (
    Put,
    Step,
    assumed,
    lowered,
    of_row,
    of_step,
    worked,
)

SUBJECT = "bearing, for information"
WATER_KN_M3 = 9.81  # unit weight of fresh water, shown in the step that takes it


@dataclass(frozen=True)
class Helix:
    """One helix in the borehole: its diameter, depth below the borehole's ground, and layer."""

    helix_mm: float
    along_mm: float
    depth_m: float
    layer: pd.Series


def nearest(known: Known) -> tuple[pd.Series, float] | None:
    """The nearest borehole that has layers, and its distance in plan [m]; None without one."""
    held = known.boreholes[known.boreholes["borehole_id"].isin(known.layers["borehole_id"])]
    east, north = known.row["easting_m"], known.row["northing_m"]
    if held.empty or pd.isna(east) or pd.isna(north):
        return None
    away = [
        hypot(x - east, y - north)
        for x, y in zip(held["easting_m"], held["northing_m"], strict=True)
    ]
    place = min(range(len(away)), key=away.__getitem__)
    return held.iloc[place], away[place]


def helices(known: Known, borehole: pd.Series, batter_deg: float) -> list[Helix] | str:
    """The pile's helices from the top down, or why they cannot be placed in the borehole."""
    row = known.row
    if pd.isna(row["toe_mm"]):
        return "the toe depth is not recorded"
    layers = known.layers[known.layers["borehole_id"].eq(borehole["borehole_id"])]
    sets = known.assessment.project.tables.helix_sets[known.pile_type.helix_set]
    placed = helices_along_axis(sets.helix_mm, sets.top_helix_above_toe_mm, row["toe_mm"])
    level = row["run_ground_level_m"]
    level = row["ground_level_m"] if pd.isna(level) else level
    higher = 0.0 if pd.isna(level) else borehole["ground_level_m"] - level
    found = []
    for helix_mm, along_mm in placed[["helix_mm", "depth_mm"]].to_numpy(dtype=float).tolist():
        vertical = along_mm * cos(radians(batter_deg)) * units.factor("mm", "m")
        depth = vertical + higher
        here = layers[
            (layers["from_mm"] * units.factor("mm", "m") <= depth)
            & (layers["to_mm"] * units.factor("mm", "m") > depth)
        ]
        if here.empty:
            return f"the borehole gives no layer at {depth:.2f} m"
        layer = here.iloc[0]
        if pd.isna(layer["undrained_strength_kpa"]) and pd.isna(layer["friction_deg"]):
            return f"the layer {layer['soil']} has neither strength nor friction"
        found.append(Helix(helix_mm, along_mm, depth, layer))
    return found


def stress(known: Known, borehole: pd.Series, depth_m: float, name: str) -> list[Step]:
    """Total and effective vertical stress at a depth in the borehole; none without unit weights."""
    layers = known.layers[known.layers["borehole_id"].eq(borehole["borehole_id"])]
    above = layers[layers["from_mm"] * units.factor("mm", "m") < depth_m]
    if above["unit_weight_kn_m3"].isna().any():
        return []
    total = _total(above, depth_m, name)
    water = borehole["water_level_m"]
    below = 0.0 if pd.isna(water) else max(depth_m - (borehole["ground_level_m"] - water), 0.0)
    why = "no water was met" if pd.isna(water) else "below the water level of the borehole"
    effective = worked(
        SUBJECT,
        f"Effective overburden at {name}",
        formulas.effective_overburden,
        total_kpa=of_step(total),
        water_kn_m3=assumed(WATER_KN_M3, "fresh water"),
        below_water_m=assumed(below, why),
    )
    return [total, effective]


def _total(above: pd.DataFrame, depth_m: float, name: str) -> Step:
    about = described(formulas.overburden)
    puts, value = [], 0.0
    for place, (_, layer) in enumerate(above.iterrows(), start=1):
        sign, weight = lowered(place), of_row(layer, "unit_weight_kn_m3", "borehole_layer")
        bottom = min(float(layer["to_mm"]) * units.factor("mm", "m"), depth_m)
        thick = bottom - float(layer["from_mm"]) * units.factor("mm", "m")
        puts.append(Put(f"γ{sign}", f"unit weight, {layer['soil']}", weight.value, "kN/m³",
                        weight.origin))  # fmt: skip
        puts.append(Put(f"t{sign}", "its thickness down to there", thick, "m", weight.origin))
        value += weight.value * thick
    return Step(SUBJECT, f"Overburden at {name}", about.equation, tuple(puts), value, "kPa",
                about.source)  # fmt: skip


def is_clay(layer: pd.Series) -> bool:
    """Whether a layer is taken by its undrained strength."""
    return not isnan(float(layer["undrained_strength_kpa"]))
