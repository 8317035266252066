"""Formulas of a pile's lengths and embedment. Plain numbers and arrays in SI; no limits."""

from __future__ import annotations

from typing import Any

import numpy as np

Numeric = Any


def vertical_length(length_mm: Numeric, batter_deg: Numeric) -> Numeric:
    """Vertical part of a length along the axis [mm].

    length_mm: length along the axis [mm]
    batter_deg: angle of the axis from vertical [deg]

    Equation: h = L·cosβ, with L = length_mm, β = batter_deg.
    Source: trigonometry; assumes a straight axis.
    """
    return length_mm * np.cos(np.deg2rad(batter_deg))


def axial_length(height_mm: Numeric, batter_deg: Numeric) -> Numeric:
    """Length along the axis over a vertical height [mm].

    height_mm: vertical height [mm]
    batter_deg: angle of the axis from vertical, less than 90 [deg]

    Equation: L = h/cosβ, with h = height_mm, β = batter_deg.
    Source: trigonometry; assumes a straight axis.
    """
    return height_mm / np.cos(np.deg2rad(batter_deg))


def embedment_along_axis(
    toe_mm: Numeric, lost_height_mm: Numeric, predrilled_length_mm: Numeric, batter_deg: Numeric
) -> Numeric:
    """Embedment of the toe along the axis [mm].

    Counts from the lowest of ground at the pile, finished grade and scour level, and never
    over a pre-drilled length: the pre-drilled length counts from the ground, so only the larger
    of the two is lost.

    toe_mm: depth of the toe along the axis from the ground at the pile [mm]
    lost_height_mm: height of the ground at the pile over the lowest of the three levels [mm]
    predrilled_length_mm: pre-drilled length along the axis [mm]
    batter_deg: angle of the axis from vertical [deg]

    Equation: E = D − max(h/cosβ, L), with D = toe_mm, h = lost_height_mm, L = predrilled_length_mm,
    β = batter_deg.
    Source: trade practice, no source.
    """
    lost = np.maximum(axial_length(lost_height_mm, batter_deg), predrilled_length_mm)
    return toe_mm - lost


def cover_over_helix(
    embedment_mm: Numeric, helix_above_toe_mm: Numeric, batter_deg: Numeric
) -> Numeric:
    """Vertical cover over a helix [mm].

    embedment_mm: embedment of the toe along the axis [mm]
    helix_above_toe_mm: distance of the helix above the toe along the axis [mm]
    batter_deg: angle of the axis from vertical [deg]

    Equation: C = (E − H)·cosβ, with E = embedment_mm, H = helix_above_toe_mm, β = batter_deg.
    Source: trigonometry; assumes a straight axis.
    """
    return vertical_length(embedment_mm - helix_above_toe_mm, batter_deg)


def embedment_beyond_surface(toe_mm: Numeric, failure_surface_depth_mm: Numeric) -> Numeric:
    """Embedment of the toe beyond a failure surface, along the axis [mm].

    toe_mm: depth of the toe along the axis [mm]
    failure_surface_depth_mm: depth of the failure surface along the axis [mm]

    Equation: E = D − S, with D = toe_mm, S = failure_surface_depth_mm.
    Source: difference of lengths along the axis.
    """
    return toe_mm - failure_surface_depth_mm


def helix_depth(toe_mm: Numeric, helix_above_toe_mm: Numeric) -> Numeric:
    """Depth of a helix along the axis [mm].

    toe_mm: depth of the toe along the axis [mm]
    helix_above_toe_mm: distance of the helix above the toe along the axis [mm]

    Equation: d = D − H, with D = toe_mm, H = helix_above_toe_mm.
    Source: difference of lengths.
    """
    return toe_mm - helix_above_toe_mm
