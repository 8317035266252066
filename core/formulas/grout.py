"""Formulas of the grout column around a shaft. Plain numbers and arrays in SI; no limits."""

from __future__ import annotations

from math import pi
from typing import Any

import numpy as np

Numeric = Any


def column_length(depth_mm: Numeric, first_disc_depth_mm: Numeric) -> Numeric:
    """Length of the grout column that the first disc has opened from the ground down [mm].

    depth_mm: depth of the toe along the axis [mm]
    first_disc_depth_mm: depth of the toe when the first disc entered the ground [mm]

    Equation: L = max(D, F) − F, with D = depth_mm, F = first_disc_depth_mm.
    Source: geometry; the disc stays that far above the toe.
    """
    return np.maximum(depth_mm, first_disc_depth_mm) - first_disc_depth_mm


def column_top(toe_mm: Numeric, grouted_length_mm: Numeric) -> Numeric:
    """Depth of the toe at which a grout column of a given length begins [mm].

    toe_mm: depth of the toe at the end, along the axis [mm]
    grouted_length_mm: length of the grout column along the axis [mm]

    Equation: F = max(T, L) − L, with T = toe_mm, L = grouted_length_mm.
    Source: geometry; what opens the column stays that far above the toe.
    """
    return np.maximum(toe_mm, grouted_length_mm) - grouted_length_mm


def toe_of_column(column_mm: Numeric, column_top_mm: Numeric) -> Numeric:
    """Depth of the toe when the grout column has reached a length [mm].

    column_mm: length of the column opened so far along the axis [mm]
    column_top_mm: depth of the toe at which the column begins [mm]

    Equation: D = C + F, with C = column_mm, F = column_top_mm.
    Source: geometry; what opens the column stays F above the toe.
    """
    return column_mm + column_top_mm


def column_part(lower_mm: Numeric, upper_mm: Numeric) -> Numeric:
    """Length of a part of the grout column [mm].

    lower_mm: length of the column from the ground to the lower end of the part [mm]
    upper_mm: length of the column from the ground to the upper end of the part [mm]

    Equation: l = L₂ − L₁, with L₂ = lower_mm, L₁ = upper_mm.
    Source: difference of lengths along the axis.
    """
    return lower_mm - upper_mm


def gap_length(from_mm: Numeric, to_mm: Numeric) -> Numeric:
    """Length of a stretch of toe depths that no lift of grout covers [mm].

    from_mm: depth of the toe at which it begins [mm]
    to_mm: depth of the toe at which it ends [mm]

    Equation: g = d₂ − d₁, with d₁ = from_mm, d₂ = to_mm.
    Source: from where the column begins, from one lift to the next, and to the toe.
    """
    return to_mm - from_mm


def bore_diameter(outside_diameter_mm: Numeric, wall_mm: Numeric) -> Numeric:
    """Inside diameter of a hollow shaft [mm].

    outside_diameter_mm: outside diameter [mm]
    wall_mm: thickness of the wall [mm]

    Equation: b = D − 2·t, with D = outside_diameter_mm, t = wall_mm.
    Source: geometry of a ring.
    """
    return outside_diameter_mm - 2 * wall_mm


def void_volume(disc_mm: Numeric, shaft_area_mm2: Numeric, length_mm: Numeric) -> Numeric:
    """Room for grout between the hole that a disc opens and the shaft [mm**3].

    disc_mm: outside diameter of the disc, helix or pre-drilled hole that opened the hole [mm]
    shaft_area_mm2: outside cross-section of the shaft [mm**2]
    length_mm: length of the grout column along the axis [mm]

    Equation: V = (π/4·d² − A)·L, with d = disc_mm, A = shaft_area_mm2, L = length_mm.
    Source: geometry of a hollow cylinder; assumes the hole keeps the disc's diameter.
    """
    return (pi / 4 * disc_mm**2 - shaft_area_mm2) * length_mm


def bore_volume(bore_mm: Numeric, length_mm: Numeric) -> Numeric:
    """Room for grout inside a hollow shaft [mm**3].

    bore_mm: inside diameter of the shaft [mm]
    length_mm: grouted length of the bore [mm]

    Equation: V = π/4·b²·L, with b = bore_mm, L = length_mm.
    Source: geometry of a cylinder.
    """
    return pi / 4 * bore_mm**2 * length_mm


def net_volume(
    batched_l: Numeric, left_l: Numeric, spilled_l: Numeric, returned_l: Numeric
) -> Numeric:
    """Grout that stayed in the ground [litre].

    Unknown while any part is unknown.

    batched_l: volume batched for the lift [litre]
    left_l: volume left in mixer and lines [litre]
    spilled_l: volume spilled [litre]
    returned_l: volume that came back out of the hole [litre]

    Equation: N = B − L − S − R, with B = batched_l, L = left_l, S = spilled_l, R = returned_l.
    Source: balance of volumes.
    """
    return batched_l - left_l - spilled_l - returned_l


def take_ratio(net_l: Numeric, void_l: Numeric) -> Numeric:
    """Net grout over the theoretical void [-].

    net_l: net volume placed [litre]
    void_l: theoretical void of the same length [litre]

    Equation: r = N/V, with N = net_l, V = void_l.
    Source: trade practice, no source.
    """
    return net_l / void_l


def mix_density(water_cement: Numeric, cement_kg_m3: Numeric, water_kg_m3: Numeric) -> Numeric:
    """Density of neat grout without air [kg/m**3].

    water_cement: mass of water over mass of cement [-]
    cement_kg_m3: density of cement grains [kg/m**3]
    water_kg_m3: density of water [kg/m**3]

    Source: balance of mass and volume; holds for water and cement alone.
    """
    return (1 + water_cement) / (1 / cement_kg_m3 + water_cement / water_kg_m3)


def water_cement_ratio(
    density_kg_m3: Numeric, cement_kg_m3: Numeric, water_kg_m3: Numeric
) -> Numeric:
    """Mass of water over mass of cement of neat grout with this density [-].

    Density alone proves no ratio where admixtures, bentonite or other binders are in the mix.

    density_kg_m3: density of the grout [kg/m**3]
    cement_kg_m3: density of cement grains [kg/m**3]
    water_kg_m3: density of water [kg/m**3]

    Source: balance of mass and volume, ``mix_density`` solved for the ratio.
    """
    return (1 - density_kg_m3 / cement_kg_m3) / (density_kg_m3 / water_kg_m3 - 1)


def mix_yield(water_cement: Numeric, cement_kg_m3: Numeric, water_kg_m3: Numeric) -> Numeric:
    """Volume of neat grout per mass of cement [m**3/kg].

    water_cement: mass of water over mass of cement [-]
    cement_kg_m3: density of cement grains [kg/m**3]
    water_kg_m3: density of water [kg/m**3]

    Source: balance of mass and volume; holds for water and cement alone.
    """
    return 1 / cement_kg_m3 + water_cement / water_kg_m3


def flow_cone_in_order(water_s: Numeric, nominal_s: Numeric, tolerance_s: Numeric) -> Numeric:
    """Whether water leaves a flow cone in the time that makes the cone usable [-].

    water_s: time in which the water leaves [s]
    nominal_s: time that it should take, 8.0 by the standard [s]
    tolerance_s: maximum difference either way, 0.2 by the standard [s]

    Source: ASTM C939, calibration of the apparatus, read in copies by others.
    """
    return np.isclose(water_s, nominal_s, rtol=np.finfo(float).eps, atol=tolerance_s)


def flow_of_pair(
    first_s: Numeric, second_s: Numeric, spread_s: Numeric, longest_s: Numeric
) -> Numeric:
    """Mean time of efflux of two runs of the flow cone [s].

    NaN when a run lies too far from their mean, or when either is longer than the method allows.

    first_s: time of efflux of one run [s]
    second_s: time of efflux of the other [s]
    spread_s: maximum distance of a run from the mean, 1.8 by the standard [s]
    longest_s: longest time for which the method holds, 35 by the standard [s]

    Source: ASTM C939, scope and procedure, read in copies by others.
    """
    mean = (first_s + second_s) / 2
    close = np.abs(first_s - second_s) / 2 <= spread_s
    holds = np.maximum(first_s, second_s) <= longest_s
    return np.where(close & holds, mean, np.nan * mean)


def bond_resistance(bond_mpa: Numeric, diameter_mm: Numeric, length_mm: Numeric) -> Numeric:
    """Resistance of a grout column by bond to the ground along its side [N].

    A column formed by displaced soil is no drilled hole: published bond values are a starting
    point for tests.

    bond_mpa: ultimate bond between grout and ground [MPa]
    diameter_mm: diameter of the column [mm]
    length_mm: bonded length [mm]

    Source: FHWA-NHI-05-039, chapter 5, α·π·D·L; quoted from memory.
    """
    return bond_mpa * pi * diameter_mm * length_mm


def composite_stiffness(
    steel_mm2: Numeric, steel_mpa: Numeric, grout_mm2: Numeric, grout_mpa: Numeric
) -> Numeric:
    """Axial stiffness of steel and uncracked grout together [N].

    steel_mm2: cross-section of the steel [mm**2]
    steel_mpa: modulus of elasticity of the steel [MPa]
    grout_mm2: cross-section of the grout [mm**2]
    grout_mpa: modulus of elasticity of the grout [MPa]

    Source: springs in parallel, EA = Es·As + Eg·Ag; in tension cracked grout gives none.
    """
    return steel_mpa * steel_mm2 + grout_mpa * grout_mm2


def shortening(load_n: Numeric, length_mm: Numeric, stiffness_n: Numeric) -> Numeric:
    """Elastic change of length under an axial load that is the same all along [mm].

    load_n: axial load [N]
    length_mm: length [mm]
    stiffness_n: axial stiffness EA [N]

    Source: Hooke's law, P·L/(EA).
    """
    return load_n * length_mm / stiffness_n


def cased_compression(
    grout_n: Numeric, steel_n: Numeric, grout_share: Numeric, steel_share: Numeric
) -> Numeric:
    """Allowable compression of a cased length [N].

    grout_n: compressive strength of the grout times its cross-section [N]
    steel_n: yield strength of the steel times its cross-section [N]
    grout_share: share of the grout's strength that is allowed, 0.40 in the manual [-]
    steel_share: share of the steel's strength that is allowed, 0.47 in the manual [-]

    Source: FHWA-NHI-05-039, p. 5-14, read in a garbled copy.
    """
    return grout_share * grout_n + steel_share * steel_n
