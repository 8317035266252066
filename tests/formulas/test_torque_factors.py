"""Torque factors, load tests of a site, and drives against codes and against each other."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core import units
from core.formulas import torque
from core.settings.published import published

positive = st.floats(1.0, 1e6)
POINTS_KPA = np.array([2000.0, 8000.0, 14_000.0, 20_000.0])
POINTS_NM = np.array([1000.0, 4100.0, 7600.0, 11_200.0])


def test_factors_of_correlation_follow_the_number_of_tests():
    # Source: EN 1997-1:2004, Table A.9, from memory: ξ1 1.40 1.30 1.20 1.10 1.00 and ξ2 1.40 1.20
    # 1.05 1.00 1.00 for one to five static load tests.
    table = published("load_test_correlation")
    assert table["mean_divisor"].tolist() == [1.40, 1.30, 1.20, 1.10, 1.00]
    assert table["min_divisor"].tolist() == [1.40, 1.20, 1.05, 1.00, 1.00]


def test_characteristic_resistance_is_the_lesser_of_mean_and_least():
    # Hand calculation by eq. 7.2 with n = 3: mean 200/1.20 = 166.7, minimum 168/1.05 = 160.0;
    # then with 195, 200, 205: mean 166.7, minimum 185.7.
    spread = torque.characteristic_resistance(np.array([168.0, 212.0, 220.0]), 1.20, 1.05)
    assert spread == pytest.approx(160.0)
    close = torque.characteristic_resistance(np.array([195.0, 200.0, 205.0]), 1.20, 1.05)
    assert close == pytest.approx(166.667, abs=0.001)


def test_a_site_factor_from_a_test():
    # Hand calculation: failed at 198 kN with a final torque of 6.0 kN·m: 33.0 1/m.
    assert torque.tested_factor(198_000.0, 6000.0) == pytest.approx(33.0)


def test_a_test_that_did_not_reach_its_criterion_neither_raises_nor_lowers_the_least():
    reached = np.array([True, True, False])
    for bound in (20.0, 31.0, 50.0):
        factors = np.array([31.5, 34.2, bound])
        assert torque.min_factor(factors, reached) == 31.5
        assert torque.mean_factor(factors, reached) == pytest.approx(32.85)


def test_without_a_test_that_reached_its_criterion_there_is_no_factor():
    factors, reached = np.array([31.5, 34.2]), np.array([False, False])
    assert np.isnan(torque.min_factor(factors, reached))
    assert np.isnan(torque.mean_factor(factors, reached))


@pytest.mark.parametrize(
    ("diameter_mm", "per_m"),
    [(53.88, 36.59), (62.86, 31.75), (73.03, 27.66), (88.9, 23.08), (114.3, 18.32), (219.1, 10.07)],
)
def test_fitted_factors_of_usual_shafts(diameter_mm, per_m):
    # Source: Perko (2009), 1433/d^0.92, quoted from memory; values computed apart from this
    # program for shafts of 1.5 in square (diagonal) to 8.625 in round.
    assert torque.fitted_torque_factor(diameter_mm) == pytest.approx(per_m, abs=0.006)


def test_motor_torque_is_the_same_work_as_oil_at_pressure():
    # Conservation of energy: one turn of a motor without loss, 2π·T, takes pressure times volume.
    pressure_pa, volume_m3 = 12.5e6, 630e-6
    work = 2 * np.pi * torque.motor_torque(12.5, 630.0, 1, 1)
    assert work == pytest.approx(pressure_pa * volume_m3)


def test_fewer_readings_than_asked_have_no_mean_of_the_last():
    assert np.isnan(torque.final_torque_last(np.array([5200.0, 5600.0]), 3))
    assert np.isnan(torque.final_torque_last(np.array([5200.0, np.nan, 5600.0]), 3))


@settings(deadline=None)
@given(st.floats(1000.0, 11_200.0))
def test_pressure_and_torque_lead_back_to_each_other(asked):
    pressure = torque.calibrated_pressure(asked, POINTS_KPA, POINTS_NM)
    assert POINTS_KPA[0] <= pressure <= POINTS_KPA[-1]
    assert torque.calibrated_torque(pressure, POINTS_KPA, POINTS_NM) == pytest.approx(asked)


@pytest.mark.parametrize("asked", [999.0, 11_201.0])
def test_a_torque_outside_the_points_has_no_pressure(asked):
    assert np.isnan(torque.calibrated_pressure(asked, POINTS_KPA, POINTS_NM))


@settings(deadline=None)
@given(st.floats(2000.0, 20_000.0), st.floats(2000.0, 20_000.0))
def test_interpolated_torque_stays_between_its_points_and_grows(one, other):
    low, high = torque.calibrated_torque(np.sort([one, other]), POINTS_KPA, POINTS_NM)
    assert POINTS_NM[0] <= low <= high <= POINTS_NM[-1]


@settings(deadline=None)
@given(positive, positive, st.floats(0.1, 100), st.floats(1, 5))
def test_resistance_grows_with_torque_and_leads_back_to_it(one, other, factor, safety):
    low, high = sorted((one, other))
    assert torque.resistance(low, factor) <= torque.resistance(high, factor)
    load = torque.resistance(one, factor) / safety
    assert torque.required_torque(load, safety, factor) == pytest.approx(one)


@settings(deadline=None)
@given(
    st.lists(st.floats(500, 20_000), min_size=3, max_size=40),
    st.integers(0, 2**32 - 1),
    st.sampled_from([914, 1000, 1219]),
)
def test_a_pile_entered_in_feet_and_pounds_is_the_pile_entered_in_si(values, seed, window_mm):
    foot, pound = units.factor("ft", "mm"), units.factor("ft*lbf", "N*m")
    depth_mm = np.rint(np.arange(1, len(values) + 1) * foot)
    torque_nm = np.array(values)
    in_pounds = torque_nm / pound * pound
    arguments = depth_mm, depth_mm[-1], window_mm, 10
    si = torque.final_torque(arguments[0], torque_nm, *arguments[1:])
    us = torque.final_torque(arguments[0], in_pounds, *arguments[1:])
    assert us == pytest.approx(si, rel=1e-9)
    psi = units.factor("psi", "kPa")
    reading = np.random.default_rng(seed).uniform(2000, 20_000)
    metric = torque.calibrated_torque(reading, POINTS_KPA, POINTS_NM)
    customary = torque.calibrated_torque(reading / psi, POINTS_KPA / psi, POINTS_NM / pound)
    assert customary * pound == pytest.approx(metric, rel=1e-9)
    factor = units.factor("1/ft", "1/m")
    kip = torque.resistance(us / pound, 9.0) * units.factor("lbf", "N")
    assert kip == pytest.approx(torque.resistance(si, 9.0 * factor), rel=1e-9)
