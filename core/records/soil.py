"""Record kinds of the ground: boreholes and the layers they found."""

from __future__ import annotations

from core.records.kinds import Column, Kind, Reference
from core.records.survey import _metres

_BOREHOLE_ID = Column(
    "borehole_id",
    "text",
    "Number of the borehole or sounding.",
    aliases=("borehole", "boring", "bore", "sounding", "hole"),
    required=True,
)

BOREHOLE = Kind(
    "borehole",
    "borehole",
    "one borehole or sounding",
    ("borehole_id",),
    (
        _BOREHOLE_ID,
        _metres("easting_m", "Easting.", "easting", "east", "e", "x"),
        _metres("northing_m", "Northing.", "northing", "north", "n", "y"),
        _metres("ground_level_m", "Level of the ground from which its depths count.",
                "ground level", "collar level", "level"),
        Column(
            "water_level_m",
            "number",
            "Level of the ground water; empty where none was met.",
            aliases=("water level", "groundwater level", "ground water level"),
        ),
        Column("report", "text", "Report that it stands in.", aliases=("document",)),
    ),
)  # fmt: skip

BOREHOLE_LAYER = Kind(
    "borehole_layer",
    "layer of a borehole",
    "one layer of ground in one borehole",
    ("borehole_id", "from_mm"),
    (
        _BOREHOLE_ID,
        Column("from_mm", "whole", "Depth of its top below the ground.",
               aliases=("from", "top", "top depth", "depth from"), required=True, low=0),
        Column("to_mm", "whole", "Depth of its bottom below the ground.",
               aliases=("to", "bottom", "bottom depth", "base", "depth to"), required=True, low=0),
        Column("soil", "text", "What it is, in the words of the report.",
               aliases=("soil", "description", "layer", "material"), required=True),
        Column(
            "unit_weight_kn_m3",
            "number",
            "Bulk unit weight, saturated below the water level.",
            aliases=("unit weight", "bulk unit weight"),
            low=0,
            high=40,
        ),
        Column(
            "undrained_strength_kpa",
            "number",
            "Undrained shear strength, in clay.",
            aliases=("undrained strength", "undrained shear strength", "su", "cu"),
            low=0,
        ),
        Column(
            "friction_deg",
            "number",
            "Effective angle of friction, in sand.",
            aliases=("friction angle", "angle of friction", "phi"),
            low=0,
            high=60,
        ),
    ),
    refers_to=(Reference(BOREHOLE, without="refused"),),
)  # fmt: skip
