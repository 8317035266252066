"""Formulas of turning steel into the ground. Plain numbers and arrays in SI; no limits."""

from __future__ import annotations

from typing import Any

import numpy as np

Numeric = Any


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
