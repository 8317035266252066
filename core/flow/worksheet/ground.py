"""Where a pile's helices lie in the nearest borehole, and the stress of the ground there."""

from __future__ import annotations

from dataclasses import dataclass
from math import isnan

import pandas as pd

from core.compute import ground as formulas
from core.compute.measures import boreholes
from core.compute.measures.along_axis import helices_along_axis
from core.flow.worksheet.known import Known
from core.flow.worksheet.steps import (
    Input,
    Step,
    assumed,
    lowered,
    of_row,
    result_of,
    worked,
)
from core.subjects.described import described

SUBJECT = "bearing, for information"
WATER_KN_M3 = 9.81  # unit weight of fresh water, shown in the step that takes it


@dataclass(frozen=True)
class Helix:
    """One helix in the borehole: its diameter, depth below the borehole's ground, and layer."""

    helix_mm: float
    along_mm: float
    depth_m: float
    layer: pd.Series


def nearest(known: Known) -> tuple[pd.Series, pd.DataFrame] | None:
    """The nearest borehole that has layers, with away_mm, and its layers; None without one."""
    held = known.boreholes[known.boreholes["borehole_id"].isin(known.layers["borehole_id"])]
    east, north = known.row["easting_m"], known.row["northing_m"]
    if held.empty or pd.isna(east) or pd.isna(north):
        return None
    borehole = boreholes.by_distance(held, east, north).iloc[0]
    layers = known.layers[known.layers["borehole_id"].eq(borehole["borehole_id"])]
    return borehole, layers.reset_index(drop=True)


def helices(
    known: Known, borehole: pd.Series, layers: pd.DataFrame, batter_deg: float
) -> list[Helix] | str:
    """The pile's helices from the top down, or why they cannot be placed in the borehole."""
    row = known.row
    if pd.isna(row["toe_mm"]):
        return "the toe depth is not recorded"
    sets = known.assessment.project.tables.helix_sets[known.pile_type.helix_set]
    placed = helices_along_axis(sets.helix_mm, sets.top_helix_above_toe_mm, row["toe_mm"])
    level = row["run_ground_level_m"]
    level = row["ground_level_m"] if pd.isna(level) else level
    higher = 0.0 if pd.isna(level) else borehole["ground_level_m"] - level
    placed = boreholes.in_layers(placed, layers, batter_deg, higher)
    lost = placed[placed["layer"] < 0]
    if len(lost):
        return f"the borehole gives no layer at {lost['depth_m'].iloc[0]:.2f} m"
    found: list[Helix] = []
    for _, helix in placed.iterrows():
        layer = layers.loc[int(helix["layer"])]
        if pd.isna(layer["undrained_strength_kpa"]) and pd.isna(layer["friction_deg"]):
            return f"the layer {layer['soil']} has neither strength nor friction"
        found.append(Helix(helix["helix_mm"], helix["depth_mm"], helix["depth_m"], layer))
    return found


def stress(borehole: pd.Series, layers: pd.DataFrame, depth_m: float, name: str) -> list[Step]:
    """Total and effective vertical stress at a depth in the borehole; none without unit weights."""
    above = boreholes.layers_above(layers, depth_m)
    if above["unit_weight_kn_m3"].isna().any():
        return []
    total = _total(above, name)
    water = borehole["water_level_m"]
    below = 0.0 if pd.isna(water) else max(depth_m - (borehole["ground_level_m"] - water), 0.0)
    why = "no water was met" if pd.isna(water) else "below the water level of the borehole"
    effective = worked(
        SUBJECT,
        f"Effective overburden at {name}",
        formulas.effective_overburden,
        total_kpa=result_of(total),
        water_kn_m3=assumed(WATER_KN_M3, "fresh water"),
        below_water_m=assumed(below, why),
    )
    return [total, effective]


def _total(above: pd.DataFrame, name: str) -> Step:
    about, puts = described(formulas.overburden), []
    for place, (_, layer) in enumerate(above.iterrows(), start=1):
        sign, weight = lowered(place), of_row(layer, "unit_weight_kn_m3", "borehole_layer")
        puts.append(Input(f"γ{sign}", f"unit weight, {layer['soil']}", weight.value, "kN/m³",
                        weight.origin))  # fmt: skip
        puts.append(Input(f"t{sign}", "its thickness down to there", float(layer["thickness_m"]),
                        "m", weight.origin))  # fmt: skip
    value = float(formulas.overburden(above["unit_weight_kn_m3"], above["thickness_m"]))
    return Step(SUBJECT, f"Overburden at {name}", about.equation, tuple(puts), value, "kPa",
                about.source)  # fmt: skip


def is_clay(layer: pd.Series) -> bool:
    """Whether a layer is taken by its undrained strength."""
    return not isnan(float(layer["undrained_strength_kpa"]))
