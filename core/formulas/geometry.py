"""Formulas of places, axes and levels. Plain numbers and arrays in SI; no limits."""

from __future__ import annotations

from typing import Any

import numpy as np

Numeric = Any


def axis_east(batter_deg: Numeric, azimuth_deg: Numeric) -> Numeric:
    """Eastward part of the unit vector down an axis [-].

    batter_deg: angle of the axis from vertical [deg]
    azimuth_deg: direction towards which the toe leans, clockwise from north [deg]

    Equation: e = sinβ·sinα, with β = batter_deg, α = azimuth_deg.
    Source: trigonometry.
    """
    return np.sin(np.deg2rad(batter_deg)) * np.sin(np.deg2rad(azimuth_deg))


def axis_north(batter_deg: Numeric, azimuth_deg: Numeric) -> Numeric:
    """Northward part of the unit vector down an axis [-].

    batter_deg: angle of the axis from vertical [deg]
    azimuth_deg: direction towards which the toe leans, clockwise from north [deg]

    Equation: n = sinβ·cosα, with β = batter_deg, α = azimuth_deg.
    Source: trigonometry.
    """
    return np.sin(np.deg2rad(batter_deg)) * np.cos(np.deg2rad(azimuth_deg))


def projected(
    coordinate_m: Numeric,
    level_m: Numeric,
    target_level_m: Numeric,
    batter_deg: Numeric,
    axis_share: Numeric,
) -> Numeric:
    """Coordinate of an axis where it meets a level, from a point on it at another level [m].

    coordinate_m: easting or northing of the point [m]
    level_m: level of the point [m]
    target_level_m: level to project to [m]
    batter_deg: angle of the axis from vertical, less than 90 [deg]
    axis_share: eastward or northward part of the unit vector down the axis [-]

    Equation: X = x + (z − Z)/cosβ·a, with x = coordinate_m, z = level_m, Z = target_level_m,
    β = batter_deg, a = axis_share.
    Source: trigonometry; assumes a straight axis.
    """
    down = (level_m - target_level_m) / np.cos(np.deg2rad(batter_deg))
    return coordinate_m + down * axis_share


def coordinate_difference(built_m: Numeric, design_m: Numeric) -> Numeric:
    """Difference of two eastings or northings, as built minus design [m].

    built_m: coordinate as built [m]
    design_m: coordinate that the design or an instruction gives [m]

    Equation: o = x − X, with x = built_m, X = design_m.
    Source: difference of coordinates.
    """
    return built_m - design_m


def plan_offset(offset_east_mm: Numeric, offset_north_mm: Numeric) -> Numeric:
    """Radial offset in plan [mm].

    offset_east_mm: as built minus design, eastward [mm]
    offset_north_mm: as built minus design, northward [mm]

    Equation: r = √(E² + N²), with E = offset_east_mm, N = offset_north_mm.
    Source: theorem of Pythagoras.
    """
    return np.hypot(offset_east_mm, offset_north_mm)


def angle_between(
    batter_deg: Numeric,
    azimuth_deg: Numeric,
    other_batter_deg: Numeric,
    other_azimuth_deg: Numeric,
) -> Numeric:
    """Angle between two axes [deg].

    batter_deg: angle of one axis from vertical [deg]
    azimuth_deg: direction towards which its toe leans, clockwise from north [deg]
    other_batter_deg: angle of the other axis from vertical [deg]
    other_azimuth_deg: direction towards which its toe leans, clockwise from north [deg]

    Equation: cosθ = cosβ₁·cosβ₂ + sinβ₁·sinβ₂·cos(α₁ − α₂), with β₁ = batter_deg, α₁ = azimuth_deg,
    β₂ = other_batter_deg, α₂ = other_azimuth_deg.
    Source: haversine form of the angle between two directions, exact for small angles too.
    """
    one, other = np.deg2rad(batter_deg), np.deg2rad(other_batter_deg)
    turn = np.deg2rad(azimuth_deg) - np.deg2rad(other_azimuth_deg)
    half = np.sin((one - other) / 2) ** 2 + np.sin(one) * np.sin(other) * np.sin(turn / 2) ** 2
    return np.rad2deg(2 * np.arcsin(np.sqrt(np.minimum(half, 1.0))))


def plumb(tilt_one_deg: Numeric, tilt_across_deg: Numeric) -> Numeric:
    """Angle from vertical of an axis read with a level in two perpendicular directions [deg].

    tilt_one_deg: angle from vertical seen along one direction [deg]
    tilt_across_deg: angle from vertical seen across it [deg]

    Equation: β = arctan √(tan²a + tan²b), with a = tilt_one_deg, b = tilt_across_deg.
    Source: trigonometry; each reading is the slope of the axis in its own vertical plane.
    """
    slope = np.hypot(np.tan(np.deg2rad(tilt_one_deg)), np.tan(np.deg2rad(tilt_across_deg)))
    return np.rad2deg(np.arctan(slope))


def lean_azimuth(tilt_east_deg: Numeric, tilt_north_deg: Numeric) -> Numeric:
    """Direction towards which the toe of a tilted axis leans, clockwise from north [deg].

    tilt_east_deg: angle from vertical in the east-west plane, toe east positive [deg]
    tilt_north_deg: angle from vertical in the north-south plane, toe north positive [deg]

    Equation: α = atan2(tan e, tan n) mod 360°, with e = tilt_east_deg, n = tilt_north_deg.
    Source: trigonometry; each tilt is the slope of the axis in its own vertical plane.
    """
    east, north = np.tan(np.deg2rad(tilt_east_deg)), np.tan(np.deg2rad(tilt_north_deg))
    return np.rad2deg(np.pi + np.arctan2(-east, -north))


def head_difference(level_m: Numeric, target_level_m: Numeric) -> Numeric:
    """Level of a head above where it should be, negative below [m].

    level_m: level of the head [m]
    target_level_m: level to which it should come [m]

    Equation: h = z − Z, with z = level_m, Z = target_level_m.
    Source: difference of levels.
    """
    return level_m - target_level_m
