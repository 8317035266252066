"""Checks of the grout column and its mix: values computed by hand or printed elsewhere."""

import numpy as np
import pytest

from core import units
from core.formulas import grout, steel

LITRE = units.factor("mm**3", "L")
INCH = units.factor("inch", "mm")
FOOT = units.factor("ft", "mm")
KIP = units.factor("kip", "N")
KSI_IN2 = units.factor("ksi*inch**2", "N")


def test_c36_void_in_litres():
    # Hand calculation: (π/4 · 150² - 38.1²) mm² · 6 m = 97.32 L.
    found = grout.void_volume(150, steel.square_area(38.1), 6000) * LITRE
    assert found == pytest.approx(97.31909205865553, abs=0.01)


def test_c37_void_in_cubic_feet_and_gallons():
    # Hand calculation: (π/4 · 36 - 2.25) in² = 26.024 in²; over 20 ft 3.6145 ft³, 27.038 US gal.
    found = grout.void_volume(6 * INCH, steel.square_area(1.5 * INCH), 20 * FOOT)
    assert found * units.factor("mm**3", "ft**3") == pytest.approx(3.6145, abs=0.001)
    assert found * units.factor("mm**3", "gallon") == pytest.approx(27.038, abs=0.001)


def test_c38_take_ratio():
    # Hand calculation: 130 / 97.32.
    assert grout.take_ratio(130, 97.31909205865553) == pytest.approx(1.3358, abs=0.001)


def test_c39_take_by_lift():
    # Hand calculation: void of 1.5 m is 24.330 L; 30, 22 and 26 L; the second lift is thin.
    void = grout.void_volume(150, steel.square_area(38.1), 1500) * LITRE
    ratios = grout.take_ratio(np.array([30.0, 22.0, 26.0]), void)
    assert ratios == pytest.approx([1.233, 0.904, 1.069], abs=0.001)
    assert (ratios < 1).tolist() == [False, True, False]


def test_c40_density_and_yield_of_a_mix():
    # Hand calculation, cement 3.15: 1.45 / (1/3.15 + 0.45) = 1.889 and
    # 100 · (1/3.15 + 0.45) = 76.75 L.
    assert grout.mix_density(0.45, 3150, 1000) == pytest.approx(1889.3, abs=1)
    litres = 100 * grout.mix_yield(0.45, 3150, 1000) * units.factor("m**3", "L")
    assert litres == pytest.approx(76.746, abs=0.001)


def test_c41_water_cement_ratio_from_density():
    # Hand calculation: (1 - 1.85/3.15) / 0.85 = 0.4855.
    assert grout.water_cement_ratio(1850, 3150, 1000) == pytest.approx(0.48553, abs=0.001)


def test_c42_flow_cone_in_order_and_grout_outside_the_method():
    # Source: ASTM C939, read in copies: water 8.0 ± 0.2 s; the method holds to 35 s.
    assert grout.flow_cone_in_order(8.1, 8.0, 0.2)
    assert grout.flow_cone_in_order(8.2, 8.0, 0.2)
    assert grout.flow_cone_in_order(7.8, 8.0, 0.2)
    assert not grout.flow_cone_in_order(8.3, 8.0, 0.2)
    assert np.isnan(grout.flow_of_pair(36.0, 36.0, 1.8, 35.0))


def test_c43_two_runs_of_the_flow_cone():
    # Source: ASTM C939, read in copies: each within 1.8 s of the mean.
    assert grout.flow_of_pair(14.2, 17.0, 1.8, 35.0) == pytest.approx(15.6)
    assert np.isnan(grout.flow_of_pair(12.0, 16.0, 1.8, 35.0))


def test_c44_bond_along_the_column():
    # Hand calculation with 95 kPa of FHWA-NHI-05-039 Table 5-3, from memory: 268.6 kN.
    assert grout.bond_resistance(0.095, 150, 6000) == pytest.approx(268_606.1718819273, abs=100)


def test_c45_compression_of_a_cased_length():
    # Source: FHWA-NHI-05-039, p. 5-14, read in a garbled copy: printed 276 kip; by the formula
    # 0.40 · 4 · 17.13 + 0.47 · 80 · 6.63 = 276.70.
    found = grout.cased_compression(4 * 17.13 * KSI_IN2, 80 * 6.63 * KSI_IN2, 0.40, 0.47)
    assert found / KIP == pytest.approx(276.696, abs=0.1)
