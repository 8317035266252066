"""Formulas between torque and resistance. Plain numbers and arrays in SI; no limits.

A torque-derived resistance is an empirical index: tests and the engineer outrank it.
"""

from __future__ import annotations

from typing import Any

import numpy as np

Numeric = Any


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
