"""Formulas of stress in layered ground. Plain numbers and arrays in SI; no limits."""

from __future__ import annotations

from typing import Any

import numpy as np

Numeric = Any


def overburden(unit_weight_kn_m3: Numeric, thickness_m: Numeric) -> Numeric:
    """Total vertical stress under layers of ground [kPa].

    unit_weight_kn_m3: bulk unit weight of each layer, saturated below the water [kN/m**3]
    thickness_m: thickness of each layer down to the depth asked for [m]

    Equation: σ = γ₁·t₁ + … + γₙ·tₙ, with γ₁ … γₙ = unit_weight_kn_m3, t₁ … tₙ = thickness_m.
    Source: weight of a column of ground.
    """
    return np.sum(unit_weight_kn_m3 * thickness_m)


def effective_overburden(
    total_kpa: Numeric, water_kn_m3: Numeric, below_water_m: Numeric
) -> Numeric:
    """Effective vertical stress below a water level at rest [kPa].

    total_kpa: total vertical stress [kPa]
    water_kn_m3: unit weight of water [kN/m**3]
    below_water_m: depth below the water level, 0 above it [m]

    Equation: σ' = σ − γw·h, with σ = total_kpa, γw = water_kn_m3, h = below_water_m.
    Source: Terzaghi's principle of effective stress, hydrostatic water.
    """
    return total_kpa - water_kn_m3 * below_water_m


def depth_in_borehole(
    depth_m: Numeric, ground_level_m: Numeric, borehole_level_m: Numeric
) -> Numeric:
    """Depth of a point beside a pile below the ground of a borehole [m].

    depth_m: depth of the point below the ground at the pile [m]
    ground_level_m: level of the ground at the pile [m]
    borehole_level_m: level of the ground at the borehole [m]

    Equation: z = h + (B − G), with h = depth_m, B = borehole_level_m, G = ground_level_m.
    Source: difference of levels; assumes that the layers lie level between the two.
    """
    return depth_m + (borehole_level_m - ground_level_m)


def below_water(depth_m: Numeric, ground_level_m: Numeric, water_level_m: Numeric) -> Numeric:
    """Depth below a water level, 0 above it [m].

    depth_m: depth below the ground [m]
    ground_level_m: level of the ground [m]
    water_level_m: level of the water [m]

    Equation: h = max(z − (G − W), 0), with z = depth_m, G = ground_level_m, W = water_level_m.
    Source: difference of levels.
    """
    return np.maximum(depth_m - (ground_level_m - water_level_m), 0.0)
