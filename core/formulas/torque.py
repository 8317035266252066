"""Torque: from pressure to torque, the final window, torque factors, driving.

Formula letters follow the sources inside the functions; outside, words.
"""

from __future__ import annotations

from math import pi
from typing import Any

import numpy as np

Numeric = Any


def motor_torque(
    pressure_mpa: Numeric, displacement_cm3: Numeric, gear_ratio: Numeric, efficiency: Numeric
) -> Numeric:
    """Torque that a hydraulic motor and its gearbox give at a differential pressure [N*m].

    A check of a calibration curve's plausibility; acceptance takes torque from a curve alone.

    pressure_mpa: inlet minus return pressure across the motor [MPa]
    displacement_cm3: displacement of the motor per turn [cm**3]
    gear_ratio: turns of the motor per turn of the output [-]
    efficiency: mechanical efficiency of motor and gearbox together [-]

    Source: work per turn of a hydraulic motor, T = Δp·V/(2π); calculator.academy, hydraulic motor
    torque calculator, gives the same form with worked numbers.
    """
    return pressure_mpa * displacement_cm3 * gear_ratio * efficiency / (2 * pi)


def differential_pressure(line_kpa: Numeric, return_kpa: Numeric) -> Numeric:
    """Pressure across a motor from the pressure of its line and of its return [kPa].

    A line pressure taken as differential overstates torque by the share of the return in it.

    line_kpa: pressure at the inlet of the motor [kPa]
    return_kpa: pressure at the outlet of the motor, measured or assumed [kPa]

    Equation: Δp = p − p₀, with p = line_kpa, p₀ = return_kpa.
    Source: definition of a differential pressure; that the return stays as assumed at every
    torque is trade practice, no source.
    """
    return line_kpa - return_kpa


def calibrated_torque(pressure_kpa: Numeric, points_kpa: Numeric, points_nm: Numeric) -> Numeric:
    """Torque from pressure by the points of a calibration certificate [N*m].

    Linear between points, exact at them, NaN outside the table: nothing is extrapolated. Reading
    and points are of one kind, differential or line.

    pressure_kpa: pressure of the same kind as the points [kPa]
    points_kpa: pressures of the certificate's points, increasing [kPa]
    points_nm: torques of the certificate's points [N*m]

    Equation: T = T₁ + (p − p₁)/(p₂ − p₁)·(T₂ − T₁), with p = pressure_kpa, p₁ p₂ = points_kpa,
    T₁ T₂ = points_nm.
    Source: linear interpolation; no extrapolation is trade practice, no source.
    """
    return np.interp(pressure_kpa, points_kpa, points_nm, left=np.nan, right=np.nan)


def torque_between_points(
    pressure_kpa: Numeric,
    lower_kpa: Numeric,
    lower_nm: Numeric,
    upper_kpa: Numeric,
    upper_nm: Numeric,
) -> Numeric:
    """Torque from pressure between two points of a calibration certificate [N*m].

    ``calibrated_torque`` with the two points already chosen; exact at the first of them.

    pressure_kpa: pressure of the same kind as the points [kPa]
    lower_kpa: pressure of a point of the curve [kPa]
    lower_nm: torque of a point of the curve [N*m]
    upper_kpa: pressure of a point of the curve beside it [kPa]
    upper_nm: torque of a point of the curve beside it [N*m]

    Equation: T = T₁ + (p − p₁)/(p₂ − p₁)·(T₂ − T₁), with p = pressure_kpa, p₁ = lower_kpa,
    T₁ = lower_nm, p₂ = upper_kpa, T₂ = upper_nm.
    Source: linear interpolation; no extrapolation is trade practice, no source.
    """
    return lower_nm + (pressure_kpa - lower_kpa) * slope_between_points(
        lower_kpa, lower_nm, upper_kpa, upper_nm
    )


def slope_between_points(
    lower_kpa: Numeric, lower_nm: Numeric, upper_kpa: Numeric, upper_nm: Numeric
) -> Numeric:
    """Torque per pressure between two points of a calibration certificate [N*m/kPa].

    lower_kpa: pressure of a point of the curve [kPa]
    lower_nm: torque of a point of the curve [N*m]
    upper_kpa: pressure of a point of the curve beside it [kPa]
    upper_nm: torque of a point of the curve beside it [N*m]

    Equation: s = (T₂ − T₁)/(p₂ − p₁), with p₁ = lower_kpa, T₁ = lower_nm, p₂ = upper_kpa,
    T₂ = upper_nm.
    Source: derivative of the linear interpolation.
    """
    return (upper_nm - lower_nm) / (upper_kpa - lower_kpa)


def calibrated_pressure(torque_nm: Numeric, points_kpa: Numeric, points_nm: Numeric) -> Numeric:
    """Differential pressure at which a certificate's curve gives a torque [kPa].

    The inverse of ``calibrated_torque``: linear between points, NaN outside the table.

    torque_nm: torque asked for [N*m]
    points_kpa: pressures of the certificate's points [kPa]
    points_nm: torques of the certificate's points, increasing [N*m]

    Source: linear interpolation; no extrapolation is trade practice, no source.
    """
    return np.interp(torque_nm, points_nm, points_kpa, left=np.nan, right=np.nan)


def shear_pin_torque(pins: Numeric, pin_torque_nm: Numeric) -> Numeric:
    """Torque at which a shear-pin limiter lets go [N*m].

    Says nothing of torque below it.

    pins: number of pins in place [-]
    pin_torque_nm: rated torque of one pin [N*m]

    Source: trade practice, no source.
    """
    return pins * pin_torque_nm


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

    The readings are the current ones over all runs of the pile. NaN when the window holds no
    reading or one without torque.

    depth_mm: depths of the current readings [mm]
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

    depth_mm: depths of the current readings [mm]
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

    depth_mm: depths of the current readings, increasing within a pile [mm]
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

    torque_nm: torque of the current readings in order of depth, NaN where one has none [N*m]
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
    return drop_from_peak(np.max(torque_nm), torque_nm[-1])


def drop_from_peak(max_nm: Numeric, last_nm: Numeric) -> Numeric:
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


def resistance(torque_nm: Numeric, torque_factor_per_m: Numeric) -> Numeric:
    """Ultimate resistance implied by the final torque [N].

    An empirical index of resistance, not a measurement of it.

    torque_nm: final torque [N*m]
    torque_factor_per_m: torque factor Kt of the case [1/m]

    Equation: Q = Kt·T, with Kt = torque_factor_per_m, T = torque_nm.
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

    Equation: T = S·F/Kt, with S = safety_factor, F = load_n, Kt = torque_factor_per_m.
    Source: Hoyt, R.M. & Clemence, S.P. (1989), Qult = Kt T solved for T; quoted from memory.
    """
    return safety_factor * load_n / torque_factor_per_m


def difference_share(printed_nm: Numeric, computed_nm: Numeric) -> Numeric:
    """How far a printed required torque is from the computed one, as a share of that [-].

    printed_nm: required torque printed on the schedule [N*m]
    computed_nm: torque that the loads need, the maximum of their directions [N*m]

    Source: arithmetic.
    """
    return abs(printed_nm / computed_nm - 1)


def governing_torque(printed_nm: Numeric, computed_nm: Numeric, share: Numeric) -> Numeric:
    """Required torque that a pile is held against [N*m].

    Within the share the printed value governs, beyond it the greater of the two.

    printed_nm: required torque printed on the schedule [N*m]
    computed_nm: torque that the loads need, the maximum of their directions [N*m]
    share: difference over the computed value up to which the two agree [-]

    Equation: T = Tp where |Tp/Tc − 1| ≤ s, else the greater of Tp and Tc, with Tp = printed_nm,
    Tc = computed_nm, s = share.
    Source: trade practice, no source.
    """
    agree = difference_share(printed_nm, computed_nm) <= share
    return np.where(agree, printed_nm, np.maximum(printed_nm, computed_nm))


def fitted_torque_factor(effective_diameter_mm: Numeric) -> Numeric:
    """Torque factor that a power law through published tests gives for a shaft [1/m].

    For comparison alone. Of the two constants in print, 1433 mm^0.92/m and 22 in^0.92/ft, which
    differ by 1.25 %, this is the first. For a square shaft the effective diameter is that of the
    circle its corners sweep; rounded corners make it smaller than the sharp diagonal.

    effective_diameter_mm: diameter that the shaft sweeps [mm]

    Empirical: units as stated.
    Source: Perko, H.A. (2009), Helical Piles, power law Kt = λ/d^0.92; quoted from memory.
    """
    return 1433.0 / effective_diameter_mm**0.92


def tested_factor(resistance_n: Numeric, torque_nm: Numeric) -> Numeric:
    """Torque factor that a load test shows [1/m].

    Of a test that did not reach its criterion this is a lower bound: it may confirm a factor and
    never raise one.

    resistance_n: resistance at the criterion, or the maximum load when it was not reached [N]
    torque_nm: final torque of the pile tested [N*m]

    Source: Hoyt, R.M. & Clemence, S.P. (1989), Qult = Kt T solved for Kt; quoted from memory.
    """
    return resistance_n / torque_nm


def min_factor(factor_per_m: Numeric, reached: Numeric) -> Numeric:
    """Minimum torque factor of the tests of a site that reached their criterion [1/m].

    NaN when none did.

    factor_per_m: torque factor that each test shows [1/m]
    reached: whether each test reached its criterion [-]

    Source: trade practice, no source; the minimum is the careful choice.
    """
    inside = np.where(reached, factor_per_m, np.inf * factor_per_m)
    return inside.min() if np.any(reached) else np.nan * inside.min()


def mean_factor(factor_per_m: Numeric, reached: Numeric) -> Numeric:
    """Mean torque factor of the tests of a site that reached their criterion [1/m].

    NaN when none did.

    factor_per_m: torque factor that each test shows [1/m]
    reached: whether each test reached its criterion [-]

    Source: arithmetic mean.
    """
    kept = factor_per_m[reached]
    return kept.mean() if len(kept) else np.nan * factor_per_m.sum()


def variation(factor_per_m: Numeric) -> Numeric:
    """Sample coefficient of variation of torque factors [-].

    factor_per_m: torque factors of two tests or more that reached their criterion [1/m]

    Source: sample standard deviation (n - 1) over the mean.
    """
    return np.std(factor_per_m, ddof=1) / np.mean(factor_per_m)


def characteristic_resistance(
    resistance_n: Numeric, mean_divisor: Numeric, min_divisor: Numeric
) -> Numeric:
    """Characteristic resistance from several static load tests [N].

    The code states it for the piles tested. Carrying it over to torque-derived resistances is
    this project's own transfer.

    resistance_n: measured resistances of the piles tested [N]
    mean_divisor: correlation factor on the mean for the number of tests [-]
    min_divisor: correlation factor on the minimum for the number of tests [-]

    Source: EN 1997-1:2004, 7.6.2.2, eq. 7.2, with ξ1 and ξ2 of Table A.9; quoted from memory.
    """
    return np.minimum(np.mean(resistance_n) / mean_divisor, np.min(resistance_n) / min_divisor)


def advance_ratio(advance_mm: Numeric, turns: Numeric, pitch_mm: Numeric) -> Numeric:
    """Advance per turn as a share of the helix pitch [-].

    advance_mm: advance of the toe along the axis [mm]
    turns: turns made over that advance [-]
    pitch_mm: pitch of the helix [mm]

    Equation: r = a/(n·p), with a = advance_mm, n = turns, p = pitch_mm.
    Source: New York City Building Code, BC 1814.12 (advance per revolution against pitch).
    """
    return advance_mm / turns / pitch_mm


def elastic_twist(
    torque_nmm: Numeric,
    length_mm: Numeric,
    torsion_constant_mm4: Numeric,
    shear_modulus_mpa: Numeric,
    elastic_limit_nmm: Numeric,
) -> Numeric:
    """Twist of a prismatic shaft under torque, NaN past the elastic limit [radian].

    For comparison with a twist seen: shafts are driven near their ratings, where the twist that
    stays exceeds this by far.

    torque_nmm: torque [N*mm]
    length_mm: length between the ends of the shaft [mm]
    torsion_constant_mm4: torsion constant of the section [mm**4]
    shear_modulus_mpa: shear modulus of steel [MPa]
    elastic_limit_nmm: torque at which the section first yields [N*mm]

    Source: Saint-Venant torsion, θ = T·L/(J·G); Civil Engineering Formulas, p. 47, torsion of
    shafts.
    """
    twist = torque_nmm * length_mm / (torsion_constant_mm4 * shear_modulus_mpa)
    return np.where(torque_nmm <= elastic_limit_nmm, twist, np.nan * twist)
