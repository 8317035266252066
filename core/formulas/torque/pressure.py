"""Formulas from what an instrument shows to torque. Plain numbers and arrays in SI; no limits."""

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
