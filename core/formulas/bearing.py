"""Bearing in the ground of a borehole log: stresses, bearing of helices, friction along a shaft."""

from __future__ import annotations

from math import pi
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


def helix_area(helix_mm: Numeric) -> Numeric:
    """Gross area of a helix seen along its axis [mm**2].

    helix_mm: diameter of the helix [mm]

    Source: geometry of a circle.
    """
    return pi / 4 * helix_mm**2


def helix_area_net(helix_mm: Numeric, shaft_area_mm2: Numeric) -> Numeric:
    """Area of a helix seen along its axis, without the shaft through it [mm**2].

    helix_mm: diameter of the helix [mm]
    shaft_area_mm2: outside cross-section of the shaft [mm**2]

    Equation: A = π/4·D² − S, with D = helix_mm, S = shaft_area_mm2.
    Source: geometry of a circle.
    """
    return pi / 4 * helix_mm**2 - shaft_area_mm2


def bearing_factor(friction_deg: Numeric) -> Numeric:
    """Bearing capacity factor Nq of a surcharge [-].

    friction_deg: effective angle of friction [deg]

    Equation: Nq = e^(π·tanφ)·tan²(45° + φ/2), with φ = friction_deg.
    Source: Prandtl (1921) and Reissner (1924), Nq = e^(π·tanφ)·tan²(45° + φ/2); quoted from
    memory, the same form as EN 1997-1:2004, D.4.
    """
    phi = np.deg2rad(friction_deg)
    half = np.deg2rad(friction_deg / 2)
    passive = (1 + np.tan(half)) / (1 - np.tan(half))  # tan(45° + φ/2)
    return np.exp(pi * np.tan(phi)) * passive**2


def bearing_factor_of_helices(friction_deg: Numeric) -> Numeric:
    """Bearing capacity factor Nq as fitted for helices [-].

    friction_deg: effective angle of friction, some 20 to 45 [deg]

    Empirical: units as stated.
    Source: trade curve fit Nq = 0.5·(12φ)^(φ/54), quoted from memory with medium confidence.
    """
    return 0.5 * (12 * friction_deg) ** (friction_deg / 54)


def bearing_pressure(
    cohesion_mpa: Numeric,
    overburden_mpa: Numeric,
    cohesion_factor: Numeric,
    overburden_factor: Numeric,
) -> Numeric:
    """Ultimate pressure under a deep helix [MPa].

    The term of the helix's own width is left out, as is usual for small plates at depth.

    cohesion_mpa: cohesion, or undrained strength in clay [MPa]
    overburden_mpa: effective overburden pressure at the helix [MPa]
    cohesion_factor: bearing capacity factor Nc, 9 for a deep circular plate in clay [-]
    overburden_factor: bearing capacity factor Nq, 0 in undrained clay [-]

    Equation: q = c·Nc + σ·Nq, with c = cohesion_mpa, σ = overburden_mpa, Nc = cohesion_factor,
    Nq = overburden_factor.
    Source: trade practice after Adams & Klym (1972), q = c·Nc + q'·Nq.
    """
    return cohesion_mpa * cohesion_factor + overburden_mpa * overburden_factor


def individual_bearing(area_mm2: Numeric, pressure_mpa: Numeric) -> Numeric:
    """Resistance of helices that bear each for itself [N].

    For helices some three diameters apart, the uppermost at least five diameters deep.

    area_mm2: area of each helix [mm**2]
    pressure_mpa: ultimate pressure at each helix [MPa]

    Equation: Q = A₁·q₁ + … + Aₙ·qₙ, with A₁ … Aₙ = area_mm2, q₁ … qₙ = pressure_mpa.
    Source: trade practice after Adams & Klym (1972) and Hoyt & Clemence (1989), Q = Σ A·q.
    """
    return np.sum(area_mm2 * pressure_mpa)


def cylindrical_shear(
    diameter_mm: Numeric, length_mm: Numeric, shear_mpa: Numeric, end_n: Numeric
) -> Numeric:
    """Resistance of closely spaced helices that move with the soil between them [N].

    diameter_mm: mean diameter of the helices [mm]
    length_mm: length between the uppermost and the lowest helix [mm]
    shear_mpa: shear strength on the cylinder: undrained strength, or friction in sand [MPa]
    end_n: bearing resistance of the helix that leads [N]

    Equation: Q = π·D·L·τ + E, with D = diameter_mm, L = length_mm, τ = shear_mpa, E = end_n.
    Source: shear on a cylinder with bearing at its end; as used for helices quoted from memory.
    """
    return pi * diameter_mm * length_mm * shear_mpa + end_n


def governing_bearing(individual_n: Numeric, cylinder_n: Numeric) -> Numeric:
    """The lesser of individual bearing and cylindrical shear [N].

    individual_n: resistance by individual bearing [N]
    cylinder_n: resistance by cylindrical shear [N]

    Equation: Q = min(I, C), with I = individual_n, C = cylinder_n.
    Source: trade practice, quoted from memory; the change comes at 2.5 to 3.5 diameters apart.
    """
    return np.minimum(individual_n, cylinder_n)


def breakout_factor(
    depth_ratio: Numeric, shape_coefficient: Numeric, lateral_tangent: Numeric
) -> Numeric:
    """Breakout factor of a shallow circular plate pulled up in sand [-].

    Valid up to the critical depth; below it the factor stays at its value there.

    depth_ratio: depth of the plate over its diameter [-]
    shape_coefficient: coefficient m, by the angle of friction [-]
    lateral_tangent: uplift coefficient times the tangent of the angle of friction, Ku·tanφ [-]

    Source: Meyerhof, G.G. & Adams, J.I. (1968), Fq = 1 + 2·(H/D)·(1 + m·H/D)·Ku·tanφ; the form
    is quoted from memory and gives back a printed table of dense sand.
    """
    rise = 1 + shape_coefficient * depth_ratio
    return 1 + 2 * depth_ratio * rise * lateral_tangent


def allowable_load(ultimate_n: Numeric, safety_factor: Numeric) -> Numeric:
    """Load that a safety factor leaves of an ultimate resistance [N].

    ultimate_n: ultimate resistance, the minimum of all that limit it [N]
    safety_factor: safety factor [-]

    Source: IBC 1810.3.3.1.9, eq. 18-4, Pa = 0.5·Pu, with a factor of 2.
    """
    return ultimate_n / safety_factor


def failure_movement(helix_mm: Numeric, share: Numeric) -> Numeric:
    """Net movement at which a load test of a bare helical pile counts as failed [mm].

    helix_mm: diameters of the helices of the pile [mm]
    share: share of their mean diameter, 0.1 as quoted [-]

    Source: AC358, as quoted in the trade: plunging or a net movement of 10 % of the mean helix
    diameter, whichever comes first.
    """
    return share * np.mean(helix_mm)
