"""Uncertainty formulas against the guides that define them."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.formulas import measurement
from tests.published import published

share = st.floats(0.0, 1e3)


def test_resolution_gives_29_hundredths_of_a_step():
    # Source: JCGM 100:2008, F.2.2.1: a step δx gives u = 0.29 δx.
    assert measurement.of_resolution(1.0) == published("0.29")


def test_a_rectangular_distribution_has_58_hundredths_of_its_half_width():
    # Source: JCGM 100:2008, 4.3.7: half width a gives a/√3, 0.58 a.
    assert measurement.of_gauge(0.01, 100.0) == published("0.58")


def test_parts_add_as_squares():
    # Source: JCGM 100:2008, 5.1.2; a 3-4-5 triangle: √((2·1.5)² + 4²) = 5, doubled.
    assert measurement.of_torque(2.0, 1.5, 0.0, 4.0, 2.0) == pytest.approx(10.0)


def test_a_gauge_of_one_percent_read_to_a_bar():
    # Hand calculation: 1 % of 250 bar is 250 kPa / √3 = 144.3; a bar of step 100/√12 = 28.9;
    # at 1.06 N·m/kPa: 1.06 · √(144.34² + 28.87²) = 156.03; with a curve's 45: 162.39, doubled.
    gauge = measurement.of_gauge(0.01, 25_000.0)
    step = measurement.of_resolution(100.0)
    assert measurement.of_torque(1.06, gauge, step, 45.0, 2.0) == published("324.8")


def test_an_instrument_that_shows_torque_has_no_curve_in_between():
    # Hand calculation: 0.5 % of 16,300 N·m is 81.5 / √3 = 47.05; a step of 68 N·m / √12 = 19.63;
    # with the calibration's 35: √(47.05² + 19.63² + 35²) = 61.84, doubled.
    assert measurement.of_torque_shown(0.005, 16_300.0, 68.0, 35.0, 2.0) == published("123.7")


def test_a_curve_of_slope_one_is_an_instrument_that_shows_torque():
    gauge, step = measurement.of_gauge(0.01, 9000.0), measurement.of_resolution(50.0)
    through = measurement.of_torque(1.0, gauge, step, 30.0, 2.0)
    assert measurement.of_torque_shown(0.01, 9000.0, 50.0, 30.0, 2.0) == pytest.approx(through)


@settings(deadline=None)
@given(share, share, share, share, st.floats(0.1, 3))
def test_uncertainty_never_shrinks_with_another_part_and_scales(slope, gauge, step, curve, scale):
    whole = measurement.of_torque(slope, gauge, step, curve, 2.0)
    assert whole >= measurement.of_torque(slope, gauge, 0.0, 0.0, 2.0) * (1 - 1e-12)
    grown = measurement.of_torque(slope, gauge * scale, step * scale, curve * scale, 2.0)
    assert grown == pytest.approx(scale * whole, rel=1e-9)
