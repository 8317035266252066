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

    Source: geometry; the disc stays that far above the toe.
    """
    return np.maximum(depth_mm, first_disc_depth_mm) - first_disc_depth_mm


def void_volume(disc_mm: Numeric, shaft_area_mm2: Numeric, length_mm: Numeric) -> Numeric:
    """Room for grout between the hole that a disc opens and the shaft [mm**3].

    disc_mm: outside diameter of the disc, helix or pre-drilled hole that opened the hole [mm]
    shaft_area_mm2: outside cross-section of the shaft [mm**2]
    length_mm: length of the grout column along the axis [mm]

    Source: geometry of a hollow cylinder; assumes the hole keeps the disc's diameter.
    """
    return (pi / 4 * disc_mm**2 - shaft_area_mm2) * length_mm


def bore_volume(bore_mm: Numeric, length_mm: Numeric) -> Numeric:
    """Room for grout inside a hollow shaft [mm**3].

    bore_mm: inside diameter of the shaft [mm]
    length_mm: grouted length of the bore [mm]

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

    Source: balance of volumes.
    """
    return batched_l - left_l - spilled_l - returned_l


def take_ratio(net_l: Numeric, void_l: Numeric) -> Numeric:
    """Net grout over the theoretical void [-].

    net_l: net volume placed [litre]
    void_l: theoretical void of the same length [litre]

    Source: trade practice, no source.
    """
    return net_l / void_l


def equivalent_diameter(net_mm3: Numeric, shaft_area_mm2: Numeric, length_mm: Numeric) -> Numeric:
    """Diameter of an even column that holds the net volume [mm].

    An average: it says nothing about necking.

    net_mm3: net volume placed [mm**3]
    shaft_area_mm2: outside cross-section of the shaft [mm**2]
    length_mm: length of the grout column along the axis [mm]

    Source: geometry of a hollow cylinder.
    """
    return np.sqrt(4 / pi * (net_mm3 / length_mm + shaft_area_mm2))
