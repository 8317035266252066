"""Formulas of the steel string in the ground. Plain numbers and arrays in SI; no limits."""

from __future__ import annotations

from math import pi
from typing import Any

Numeric = Any


def tube_area(outside_diameter_mm: Numeric) -> Numeric:
    """Cross-section inside the outer surface of a round shaft [mm**2].

    outside_diameter_mm: outside diameter [mm]

    Equation: A = π/4·D², with D = outside_diameter_mm.
    Source: geometry of a circle.
    """
    return pi / 4 * outside_diameter_mm**2


def square_area(side_mm: Numeric) -> Numeric:
    """Cross-section of a square shaft with sharp corners [mm**2].

    side_mm: side of the square [mm]

    Equation: A = s², with s = side_mm.
    Source: geometry of a square; rolled bars have rounded corners and a few per cent less.
    """
    return side_mm**2


def length_in_ground(placed_mm: Numeric, cut_off_mm: Numeric, stick_up_mm: Numeric) -> Numeric:
    """Length of the string below ground along its axis [mm].

    placed_mm: sum of the working lengths of the components placed [mm]
    cut_off_mm: length cut off [mm]
    stick_up_mm: length that stands above the ground [mm]

    Equation: L = P − C − S, with P = placed_mm, C = cut_off_mm, S = stick_up_mm.
    Source: balance of lengths.
    """
    return placed_mm - cut_off_mm - stick_up_mm


def length_difference(string_mm: Numeric, toe_mm: Numeric) -> Numeric:
    """How far the length of the string in the ground and the depth of the toe differ [mm].

    string_mm: length of the string in the ground [mm]
    toe_mm: depth of the toe along the axis [mm]

    Equation: d = |L − D|, with L = string_mm, D = toe_mm.
    Source: difference of lengths.
    """
    return abs(string_mm - toe_mm)


def helix_below(height_mm: Numeric, helix_mm: Numeric) -> Numeric:
    """Height above the toe of the helix below another [mm].

    height_mm: height of the upper helix above the toe [mm]
    helix_mm: diameter of the lower helix [mm]

    Source: trade practice, no source: helices of one lead stand three diameters of the lower one
    apart. For drawings alone; nothing is judged by it.
    """
    return height_mm - 3 * helix_mm
