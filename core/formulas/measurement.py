"""Formulas of measurement uncertainty. Plain numbers and arrays in SI; no limits.

Uncertainties stand beside results; whether they change one is a criterion's own decision rule.
"""

from __future__ import annotations

from typing import Any

import numpy as np

Numeric = Any


def of_gauge(class_share: Numeric, full_scale_kpa: Numeric) -> Numeric:
    """Standard uncertainty of a gauge's reading from its accuracy class [kPa].

    class_share: maximum permissible error as a share of full scale (class 1.0 is 0.01) [-]
    full_scale_kpa: full scale of the gauge [kPa]

    Equation: u = c·F/√3, with c = class_share, F = full_scale_kpa.
    Source: JCGM 100:2008, 4.3.7: limits without more knowledge, a rectangular distribution.
    """
    return class_share * full_scale_kpa / np.sqrt(3)


def of_resolution(resolution_kpa: Numeric) -> Numeric:
    """Standard uncertainty from the step in which a value is read [kPa].

    resolution_kpa: smallest difference that is read [kPa]

    Equation: u = δ/√12, with δ = resolution_kpa.
    Source: JCGM 100:2008, F.2.2.1: a rectangular distribution over one step, 0.29·δ.
    """
    return resolution_kpa / 2 / np.sqrt(3)


def of_torque(
    torque_per_pressure: Numeric,
    gauge_kpa: Numeric,
    resolution_kpa: Numeric,
    calibration_nm: Numeric,
    coverage: Numeric,
) -> Numeric:
    """Expanded uncertainty of a torque taken through a pressure gauge [N*m].

    Gauge and calibration err alike in every reading of a window, so their part of a mean is no
    smaller than that of one reading.

    torque_per_pressure: torque per pressure of the curve at the reading [N*m/kPa]
    gauge_kpa: standard uncertainty of the gauge [kPa]
    resolution_kpa: standard uncertainty from the step of reading [kPa]
    calibration_nm: standard uncertainty of the curve, such as the scatter of its points [N*m]
    coverage: coverage factor, 2 for some 95 % [-]

    Equation: U = k·√(s²·(u₁² + u₂²) + u₃²), with s = torque_per_pressure, u₁ = gauge_kpa,
    u₂ = resolution_kpa, u₃ = calibration_nm, k = coverage.
    Source: JCGM 100:2008, 5.1.2, eq. 10, and 6.2.1: uncorrelated parts, root of the sum of squares.
    """
    pressure = torque_per_pressure**2 * (gauge_kpa**2 + resolution_kpa**2)
    return coverage * np.sqrt(pressure + calibration_nm**2)


def of_torque_shown(
    class_share: Numeric,
    full_scale_nm: Numeric,
    resolution_nm: Numeric,
    calibration_nm: Numeric,
    coverage: Numeric,
) -> Numeric:
    """Expanded uncertainty of a torque that the instrument shows itself [N*m].

    class_share: maximum permissible error as a share of full scale [-]
    full_scale_nm: full scale of the instrument [N*m]
    resolution_nm: smallest difference that is read [N*m]
    calibration_nm: standard uncertainty of the calibration [N*m]
    coverage: coverage factor, 2 for some 95 % [-]

    Equation: U = k·√((c·F)²/3 + δ²/12 + u²), with c = class_share, F = full_scale_nm,
    δ = resolution_nm, u = calibration_nm, k = coverage.
    Source: JCGM 100:2008, 4.3.7, F.2.2.1, 5.1.2 and 6.2.1.
    """
    shown = (class_share * full_scale_nm) ** 2 / 3 + resolution_nm**2 / 3 / 4
    return coverage * np.sqrt(shown + calibration_nm**2)


def of_mean(expanded_nm: Numeric) -> Numeric:
    """Expanded uncertainty of the mean of torques that err alike [N*m].

    expanded_nm: expanded uncertainty of each torque [N*m]

    Equation: U = (U₁ + … + Uₙ)/n, with U₁ … Uₙ = expanded_nm.
    Source: JCGM 100:2008, 5.2.2, note 1: parts that err alike add, they do not average out.
    """
    return np.mean(expanded_nm)


def of_weighted_mean(expanded_nm: Numeric, length_mm: Numeric) -> Numeric:
    """Expanded uncertainty of the length-weighted mean of torques that err alike [N*m].

    expanded_nm: expanded uncertainty of each torque [N*m]
    length_mm: length that each torque stands for [mm]

    Equation: U = (l₁·U₁ + … + lₙ·Uₙ)/(l₁ + … + lₙ), with U₁ … Uₙ = expanded_nm,
    l₁ … lₙ = length_mm.
    Source: JCGM 100:2008, 5.2.2, note 1: parts that err alike add, they do not average out.
    """
    return np.sum(expanded_nm * length_mm) / np.sum(length_mm)
