"""Formulas of shaft sections, whole and corroded. Plain numbers and arrays in SI; no limits.

Millimetres, newtons and megapascals go together. Ratings come from documents, never from here.
"""

from __future__ import annotations

from math import pi
from typing import Any

import numpy as np

Numeric = Any


def tube_section(outside_diameter_mm: Numeric, wall_mm: Numeric) -> Numeric:
    """Steel area of a tube [mm**2].

    outside_diameter_mm: outside diameter [mm]
    wall_mm: thickness of the wall [mm]

    Source: geometry of a ring.
    """
    return pi * wall_mm * (outside_diameter_mm - wall_mm)


def tube_second_moment(outside_diameter_mm: Numeric, wall_mm: Numeric) -> Numeric:
    """Second moment of area of a tube about a diameter [mm**4].

    Twice that is its torsion constant.

    outside_diameter_mm: outside diameter [mm]
    wall_mm: thickness of the wall [mm]

    Source: π·(D⁴ − d⁴)/64.
    """
    return pi / 4**3 * (outside_diameter_mm**4 - (outside_diameter_mm - 2 * wall_mm) ** 4)


def tube_torsion_modulus(outside_diameter_mm: Numeric, wall_mm: Numeric) -> Numeric:
    """Torque over maximum shear stress of a tube [mm**3].

    outside_diameter_mm: outside diameter [mm]
    wall_mm: thickness of the wall [mm]

    Source: Civil Engineering Formulas, p. 47: τ = 16·T·D/(π·(D⁴ − d⁴)).
    """
    return 4 * tube_second_moment(outside_diameter_mm, wall_mm) / outside_diameter_mm


def square_second_moment(side_mm: Numeric) -> Numeric:
    """Second moment of area of a square bar with sharp corners [mm**4].

    side_mm: side of the square [mm]

    Source: s⁴/12.
    """
    return side_mm**4 / (3 * 4)


def square_torsion_constant(side_mm: Numeric) -> Numeric:
    """Torsion constant of a square bar with sharp corners [mm**4].

    side_mm: side of the square [mm]

    Source: Saint-Venant torsion; Civil Engineering Formulas, p. 47: θ = 7.11·T·L/(s⁴·G).
    """
    return side_mm**4 / 7.11


def square_torsion_modulus(side_mm: Numeric) -> Numeric:
    """Torque over maximum shear stress of a square bar with sharp corners [mm**3].

    side_mm: side of the square [mm]

    Source: Saint-Venant torsion; Civil Engineering Formulas, p. 47: τ = T/(0.208·s³).
    """
    return 0.208 * side_mm**3


def scheduled_loss(years: Numeric, first_year_um: Numeric, exponent: Numeric) -> Numeric:
    """Thickness that corrosion takes over the years, both faces together [um].

    years: years in the ground [-]
    first_year_um: loss of the first year, both faces [um]
    exponent: exponent on the years [-]

    Empirical: units as stated.
    Source: AC358, 3.9: 40·t^0.80 for bare steel and 25·t^0.65 for zinc-coated, in micrometres;
    quoted from memory, agrees with results in print.
    """
    return first_year_um * years**exponent


def loss_from_table(years: Numeric, points_years: Numeric, points_mm: Numeric) -> Numeric:
    """Thickness that corrosion takes, from a table by years [mm].

    NaN outside the table.

    years: years in the ground [-]
    points_years: years of the table, increasing [-]
    points_mm: loss at those years [mm]

    Source: linear interpolation, as EN 1993-5 asks for its tables 4-1 and 4-2; quoted from memory.
    """
    return np.interp(years, points_years, points_mm, left=np.nan, right=np.nan)


def after_loss(thickness_mm: Numeric, loss_mm: Numeric) -> Numeric:
    """What corrosion leaves of a dimension across two faces: an outside, a side, a wall [mm].

    NaN when nothing is left. A tube loses the whole loss off its outside and off its wall where
    both its faces corrode alike.

    thickness_mm: dimension when new [mm]
    loss_mm: loss of both faces together [mm]

    Source: trade practice, no source: nominal less loss, half of it off each face.
    """
    left = thickness_mm - loss_mm
    return np.where(left > 0 * left, left, np.nan * left)
