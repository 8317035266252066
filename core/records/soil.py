"""Record kinds of the ground: boreholes and the layers they found."""

from __future__ import annotations

import numpy as np

from core.records.checks import row_before, row_check
from core.records.kinds import Column, Kind, Reference, Rows
from core.records.survey import metres

_BOREHOLE_ID = Column(
    "borehole_id",
    "text",
    "Number of the borehole or sounding.",
    aliases=("borehole", "boring", "bore", "sounding", "hole"),
    required=True,
    example="BH-2",
)

BOREHOLE = Kind(
    "borehole",
    "borehole",
    "one borehole or sounding",
    ("borehole_id",),
    (
        _BOREHOLE_ID,
        metres("easting_m", "Easting.", "easting", "east", "e", "x", example="98.4"),
        metres("northing_m", "Northing.", "northing", "north", "n", "y", example="204.1"),
        metres(
            "ground_level_m",
            "Level of the ground from which its depths count.",
            "ground level",
            "collar level",
            "level",
            example="5.2",
        ),
        Column(
            "water_level_m",
            "number",
            "Level of the ground water; empty where none was met.",
            aliases=("water level", "groundwater level", "ground water level"),
            example="3.4",
        ),
        Column(
            "report",
            "text",
            "Report that gives it.",
            aliases=("document",),
            example="invented report 7",
        ),
    ),
    order=220,
)

_layer_goes_down = row_check(
    "to_mm",
    "depths out of order",
    lambda rows: rows.values["to_mm"] <= rows.values["from_mm"],
    "Borehole {borehole_id}: the layer from {from_mm} ends at {to_mm}. A layer ends below its top.",
    "Correct the depths.",
)


def _layers_in_order(rows: Rows) -> None:
    """A layer begins where the one above it ends or lower."""
    top, bottom = rows.values["from_mm"], rows.values["to_mm"]
    hole = rows.group(("borehole_id",))
    before = row_before(hole, ~np.isnan(top) & ~np.isnan(bottom) & ~rows.bad)
    overlaps = (before >= 0) & (top < bottom[before])

    def say(at: int) -> tuple[str, str]:
        upper = int(before[at])
        return (
            f"Borehole {rows.text('borehole_id', at)}: the layer from {rows.text('from_mm', at)} "
            f"begins above the end of the layer before it at {rows.text('to_mm', upper)} "
            f"(row {rows.rows[upper]}).",
            "Put the layers in order from the ground down, or correct the depths.",
        )

    rows.fault(overlaps, "from_mm", "layers out of order", say)


BOREHOLE_LAYER = Kind(
    "borehole_layer",
    "layer of a borehole",
    "one layer of ground in one borehole",
    ("borehole_id", "from_mm"),
    (
        _BOREHOLE_ID,
        Column(
            "from_mm",
            "integer",
            "Depth of its top below the ground.",
            aliases=("from", "top", "top depth", "depth from"),
            required=True,
            low=0,
            example="0",
        ),
        Column(
            "to_mm",
            "integer",
            "Depth of its bottom below the ground.",
            aliases=("to", "bottom", "bottom depth", "base", "depth to"),
            required=True,
            low=0,
            example="2.4",
        ),
        Column(
            "soil",
            "text",
            "What it is, in the words of the report.",
            aliases=("soil", "description", "layer", "material"),
            required=True,
            example="firm clay",
        ),
        Column(
            "unit_weight_kn_m3",
            "number",
            "Bulk unit weight, saturated below the water level.",
            aliases=("unit weight", "bulk unit weight"),
            low=0,
            high=40,
            example="18",
        ),
        Column(
            "undrained_strength_kpa",
            "number",
            "Undrained shear strength, in clay.",
            aliases=("undrained strength", "undrained shear strength", "su", "cu"),
            low=0,
            example="60",
        ),
        Column(
            "friction_deg",
            "number",
            "Effective angle of friction, in sand.",
            aliases=("friction angle", "angle of friction", "phi"),
            low=0,
            high=60,
            example="32",
        ),
    ),
    refers_to=(
        Reference(
            BOREHOLE, without="refused", reason="A depth below no ground level lies nowhere."
        ),
    ),
    order=230,
    checks=(_layer_goes_down, _layers_in_order),
    sheet_parent=BOREHOLE,
)
