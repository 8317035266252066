"""Uncertainty formulas against the guides that define them."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.compute import measurement
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


@pytest.mark.parametrize(
    ("measured", "result"), [(8.0, -1), (8.39, -1), (8.41, 0), (8.7, 0), (8.99, 0), (9.01, 1)]
)
def test_a_value_within_its_uncertainty_of_the_limit_is_too_close(measured, result):
    # Source: JCGM 106:2012, clause 8, quoted from memory: limit 8.7, expanded uncertainty 0.3.
    assert measurement.guarded_at_least(measured, 8.7, 0.3) == result


def test_without_uncertainty_the_guard_is_the_plain_comparison():
    values = np.array([8.0, 8.7, 9.0])
    assert measurement.guarded_at_least(values, 8.7, 0.0).tolist() == [-1, 1, 1]


@settings(deadline=None)
@given(share, share, share, share, st.floats(0.1, 3))
def test_uncertainty_never_shrinks_with_another_part_and_scales(slope, gauge, step, curve, scale):
    whole = measurement.of_torque(slope, gauge, step, curve, 2.0)
    assert whole >= measurement.of_torque(slope, gauge, 0.0, 0.0, 2.0) * (1 - 1e-12)
    grown = measurement.of_torque(slope, gauge * scale, step * scale, curve * scale, 2.0)
    assert grown == pytest.approx(scale * whole, rel=1e-9)


@settings(deadline=None)
@given(st.floats(-10, 10), st.floats(-10, 10), st.floats(0, 5))
def test_more_uncertainty_never_turns_no_into_yes(measured, limit, expanded):
    plain = 1 if measured >= limit else -1
    assert measurement.guarded_at_least(measured, limit, expanded) in (0, plain)
