"""Formulas of torque in a pile's final window. Plain numbers and arrays in SI; no limits."""

from __future__ import annotations

from typing import Any

import numpy as np

Numeric = Any


def in_final_window(
    depth_mm: Numeric, toe_mm: Numeric, length_mm: Numeric, tolerance_mm: Numeric
) -> Numeric:
    """Whether a reading lies in the final window, which ends at the recorded toe [-].

    A reading stands at the bottom of its interval. The tolerance keeps the number of readings
    the same for stations a little apart from the nominal interval (a 1 ft log in whole mm), and
    a reading deeper than the recorded toe by no more than it is the one at the toe.

    depth_mm: depth of the toe at the reading, along the axis [mm]
    toe_mm: recorded depth of the toe at the end [mm]
    length_mm: length of the window [mm]
    tolerance_mm: interval tolerance [mm]

    Source: trade practice, no source.
    """
    below_toe = toe_mm - depth_mm
    return (below_toe < length_mm - tolerance_mm) & (-below_toe <= tolerance_mm)


def final_torque(
    depth_mm: Numeric,
    torque_nm: Numeric,
    toe_mm: Numeric,
    length_mm: Numeric,
    tolerance_mm: Numeric,
) -> Numeric:
    """Plain mean of torque in one pile's final window [N*m].

    The readings are the standing ones over all runs of the pile. NaN when the window holds no
    reading or one without torque.

    depth_mm: depths of the standing readings [mm]
    torque_nm: torque of each reading, NaN where it has none [N*m]
    toe_mm: recorded depth of the toe at the end [mm]
    length_mm: length of the window [mm]
    tolerance_mm: interval tolerance [mm]

    Equation: T = (T₁ + … + Tₙ)/n, with T₁ … Tₙ = torque_nm.
    Source: trade practice, no source (mean over the last length of shaft).
    """
    inside = in_final_window(depth_mm, toe_mm, length_mm, tolerance_mm)
    chosen = torque_nm[inside]
    return chosen.mean() if len(chosen) else np.nan * torque_nm.sum()


def final_torques(
    depth_mm: Numeric,
    torque_nm: Numeric,
    starts: Numeric,
    toe_mm: Numeric,
    length_mm: Numeric,
    tolerance_mm: Numeric,
) -> Numeric:
    """Plain mean of torque in the final window of many piles at once [N*m].

    Readings stand pile after pile; ``starts`` holds the place of each pile's first reading, so
    every pile has at least one. One value per pile, NaN as in ``final_torque``.

    depth_mm: depths of the standing readings [mm]
    torque_nm: torque of each reading, NaN where it has none [N*m]
    starts: place of each pile's first reading, increasing from 0 [-]
    toe_mm: recorded depth of the toe, one per pile [mm]
    length_mm: length of the window, one per pile or one for all [mm]
    tolerance_mm: interval tolerance, one per pile or one for all [mm]

    Source: trade practice, no source (mean over the last length of shaft).
    """
    counts = np.diff(np.append(starts, len(depth_mm)))
    inside = in_final_window(
        depth_mm,
        np.repeat(toe_mm, counts),
        _per_reading(length_mm, counts),
        _per_reading(tolerance_mm, counts),
    )
    none = np.nan_to_num(0 * torque_nm[:1])
    total = np.add.reduceat(np.where(inside, torque_nm, none), starts)
    number = np.add.reduceat(inside.astype(float), starts)
    return total / np.where(number > 0, number, np.nan)


def final_torques_by_length(
    depth_mm: Numeric,
    torque_nm: Numeric,
    starts: Numeric,
    toe_mm: Numeric,
    length_mm: Numeric,
    tolerance_mm: Numeric,
) -> Numeric:
    """Mean of torque in the final window weighted by the length each reading stands for [N*m].

    A reading stands for the stretch from the reading above it (or the window's top, if that is
    lower) to its own depth. Arguments as ``final_torques``.

    depth_mm: depths of the standing readings, increasing within a pile [mm]
    torque_nm: torque of each reading, NaN where it has none [N*m]
    starts: place of each pile's first reading, increasing from 0 [-]
    toe_mm: recorded depth of the toe, one per pile [mm]
    length_mm: length of the window, one per pile or one for all [mm]
    tolerance_mm: interval tolerance, one per pile or one for all [mm]

    Equation: T = (l₁·T₁ + … + lₙ·Tₙ)/(l₁ + … + lₙ), with T₁ … Tₙ = torque_nm, l₁ … lₙ = depth_mm.
    Source: trade practice, no source (length-weighted mean).
    """
    counts = np.diff(np.append(starts, len(depth_mm)))
    toe, length = np.repeat(toe_mm, counts), _per_reading(length_mm, counts)
    inside = in_final_window(depth_mm, toe, length, _per_reading(tolerance_mm, counts))
    above = np.append(0 * depth_mm[:1], depth_mm[:-1])
    above[starts] = 0 * depth_mm[:1]
    stretch = np.where(inside, depth_mm - np.maximum(above, toe - length), 0 * depth_mm[:1])
    none = np.nan_to_num(0 * torque_nm[:1])
    total = np.add.reduceat(np.where(inside, torque_nm, none) * stretch, starts)
    weight = np.add.reduceat(stretch, starts)
    return total / np.where(weight > 0 * weight, weight, np.nan * weight)


def _per_reading(value: Numeric, counts: Numeric) -> Numeric:
    return np.repeat(value, counts) if np.ndim(value) else value


def final_torque_last(torque_nm: Numeric, count: Numeric) -> Numeric:
    """Plain mean of a pile's last readings [N*m].

    NaN when there are fewer readings than required for or one has no torque.

    torque_nm: torque of the standing readings in order of depth, NaN where one has none [N*m]
    count: how many of the last readings [-]

    Source: trade practice, no source (mean of the last three readings of a 1 ft log).
    """
    last = torque_nm[-count:]
    return last.mean() if len(last) == count else np.nan * torque_nm.sum()


def drop_at_end(torque_nm: Numeric) -> Numeric:
    """Fall from the maximum to the last of a pile's readings, as a share of the maximum [-].

    torque_nm: torque of the readings in order of depth [N*m]

    Equation: d = (T₁ − T₂)/T₁, with T₁ T₂ = torque_nm.
    Source: trade practice, no source.
    """
    return drop_from_greatest(np.max(torque_nm), torque_nm[-1])


def drop_from_greatest(max_nm: Numeric, last_nm: Numeric) -> Numeric:
    """Fall from the maximum to the last reading of a window, as a share of the maximum [-].

    max_nm: maximum reading of the window [N*m]
    last_nm: last reading [N*m]

    Equation: d = (T₁ − T₂)/T₁, with T₁ = max_nm, T₂ = last_nm.
    Source: trade practice, no source.
    """
    return (max_nm - last_nm) / max_nm


def gap_between(above_mm: Numeric, below_mm: Numeric) -> Numeric:
    """Distance along the axis from one depth down to the next [mm].

    above_mm: where it begins [mm]
    below_mm: where it ends [mm]

    Equation: g = d₂ − d₁, with d₁ = above_mm, d₂ = below_mm.
    Source: difference of depths along the axis.
    """
    return below_mm - above_mm


def distance_above_toe(toe_mm: Numeric, depth_mm: Numeric) -> Numeric:
    """Distance of a reading above the recorded toe, 0 for one below it [mm].

    toe_mm: depth of the toe [mm]
    depth_mm: depth of the last reading that counts [mm]

    Equation: d = greater of D − z and 0, with D = toe_mm, z = depth_mm.
    Source: difference of depths along the axis.
    """
    return np.maximum(toe_mm - depth_mm, 0 * toe_mm)
