"""Four invented boreholes: crust, soft silt and sand as the invented ground has them."""

from __future__ import annotations

import numpy as np
from ground import CRUST_M, Ground

WATER_M = 3.1
FOOT_OF_SAND_M = 18.0
PLACES = (("BH-1", 1035.0, 503.0), ("BH-2", 1148.0, 641.0), ("BH-3", 1180.0, 596.0),
          ("BH-4", 1320.0, 507.0))  # fmt: skip


def borehole_rows(ground: Ground) -> list[dict[str, str]]:
    """One row per layer, from the ground down, with its borehole beside it."""
    return [row for name, east, north in PLACES for row in _layers(ground, name, east, north)]


def _layers(ground: Ground, name: str, east_m: float, north_m: float) -> list[dict[str, str]]:
    foot_m = CRUST_M + float(ground.silt_m(np.array([[east_m, north_m]]))[0])
    layers = (
        (0.0, CRUST_M, "stiff clay crust", "18.5", "70", ""),
        (CRUST_M, foot_m, "soft silt", "17.0", "25", ""),
        (foot_m, FOOT_OF_SAND_M, "medium dense sand", "19.5", "", "34"),
    )
    hole = {
        "Borehole": name,
        "Easting (m)": f"{east_m:.1f}",
        "Northing (m)": f"{north_m:.1f}",
        "Ground level (m)": f"{ground.surface_m(east_m, north_m):.2f}",
        "Water level (m)": f"{WATER_M:.2f}",
    }
    return [
        {
            **hole,
            "From (m)": f"{top:.2f}",
            "To (m)": f"{bottom:.2f}",
            "Soil": soil,
            "Unit weight (kN/m3)": weight,
            "su (kPa)": strength,
            "Friction angle (deg)": friction,
        }
        for top, bottom, soil, weight, strength, friction in layers
    ]
