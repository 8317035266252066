"""Formulas of installation torque. Plain numbers and arrays in SI; no limits, no files.

Formula letters follow the sources inside the functions; outside, words.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

Numeric = Any  # a number, an array, or a quantity with a unit
Floats = npt.NDArray[np.float64]


def calibrated_torque(pressure_kpa: Numeric, points_kpa: Numeric, points_nm: Numeric) -> Numeric:
    """Torque from differential pressure by the points of a calibration certificate [N*m].

    Linear between points, exact at them, NaN outside the table: nothing is extrapolated.

    pressure_kpa: differential pressure across the motor [kPa]
    points_kpa: pressures of the certificate's points, increasing [kPa]
    points_nm: torques of the certificate's points [N*m]

    Source: linear interpolation; no extrapolation is trade practice, no source.
    """
    return np.interp(pressure_kpa, points_kpa, points_nm, left=np.nan, right=np.nan)


def in_final_window(
    depth_mm: Numeric, toe_mm: Numeric, length_mm: Numeric, tolerance_mm: Numeric
) -> Numeric:
    """Whether a reading lies in the final window, which ends at the recorded toe [-].

    A reading stands at the bottom of its interval. The tolerance keeps the number of readings
    the same for stations a little apart from the nominal interval (a 1 ft log in whole mm).

    depth_mm: depth of the toe at the reading, along the axis [mm]
    toe_mm: recorded depth of the toe at the end [mm]
    length_mm: length of the window [mm]
    tolerance_mm: interval tolerance [mm]

    Source: trade practice, no source.
    """
    below_toe = toe_mm - depth_mm
    return (below_toe < length_mm - tolerance_mm) & (depth_mm <= toe_mm)


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


def drop_at_end(torque_nm: Numeric) -> Numeric:
    """Fall from the greatest to the last of a pile's readings, as a share of the greatest [-].

    torque_nm: torque of the readings in order of depth [N*m]

    Source: trade practice, no source.
    """
    greatest = np.max(torque_nm)
    return (greatest - torque_nm[-1]) / greatest


def advance_ratio(advance_mm: Numeric, turns: Numeric, pitch_mm: Numeric) -> Numeric:
    """Advance per turn as a share of the helix pitch [-].

    advance_mm: advance of the toe along the axis [mm]
    turns: turns made over that advance [-]
    pitch_mm: pitch of the helix [mm]

    Source: New York City Building Code, BC 1814.12 (advance per revolution against pitch).
    """
    return advance_mm / turns / pitch_mm


def resistance(torque_nm: Numeric, torque_factor_per_m: Numeric) -> Numeric:
    """Ultimate resistance implied by the final torque [N].

    An empirical index of resistance, not a measurement of it.

    torque_nm: final torque [N*m]
    torque_factor_per_m: torque factor Kt of the case [1/m]

    Source: Hoyt, R.M. & Clemence, S.P. (1989), Qult = Kt T; quoted from memory.
    """
    return torque_factor_per_m * torque_nm


def required_torque(
    load_n: Numeric, safety_factor: Numeric, torque_factor_per_m: Numeric
) -> Numeric:
    """Final torque that a service load needs [N*m].

    load_n: service load [N]
    safety_factor: safety factor on the load [-]
    torque_factor_per_m: torque factor Kt of the case [1/m]

    Source: Hoyt, R.M. & Clemence, S.P. (1989), Qult = Kt T solved for T; quoted from memory.
    """
    return safety_factor * load_n / torque_factor_per_m
