"""Bearing formulas against printed tables, other theories and each other."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.formulas import bearing
from tests.published import published

positive = st.floats(1.0, 1e4)


@pytest.mark.parametrize(
    ("friction", "factor"), [(0, "1.0"), (10, "2.5"), (20, "6.4"), (30, "18.4")]
)
def test_bearing_factor_matches_tables_of_bearing_capacity(friction, factor):
    # Source: tables of Nq after Prandtl and Reissner in soil mechanics textbooks (1.0, 2.5, 6.4,
    # 18.4 at 0, 10, 20 and 30°), from memory.
    assert bearing.bearing_factor(friction) == published(factor)


def test_bearing_factor_matches_the_other_way_of_writing_it():
    # tan²(45° + φ/2) is Rankine's passive coefficient (1 + sinφ)/(1 - sinφ).
    angles = np.linspace(0, 48, 97)
    phi = np.deg2rad(angles)
    passive = (1 + np.sin(phi)) / (1 - np.sin(phi))
    expected = np.exp(np.pi * np.tan(phi)) * passive
    np.testing.assert_allclose(bearing.bearing_factor(angles), expected, rtol=1e-12)


@pytest.mark.parametrize(("depth_ratio", "printed"), [(1, 3.70), (2, 8.20), (3, 14.47), (4, 22.51)])
def test_breakout_factors_of_dense_sand_come_near_the_printed_table(depth_ratio, printed):
    # Source: Meyerhof & Adams (1968) as tabulated in Soil Reinforcement (O'Reilly online,
    # appendix); the table is printed from other steps, so within 0.7 %.
    found = bearing.breakout_factor(depth_ratio, 0.48, 0.92)
    assert found == pytest.approx(printed, rel=0.007)


def test_a_plate_at_the_surface_has_a_breakout_factor_of_one():
    assert bearing.breakout_factor(0, 0.48, 0.92) == 1


def test_bearing_of_one_plate_in_clay():
    # Source: eng-tips.com, thread 217669: 1.05 ft² · 9 · 5,000 psf = 47,250 lbf.
    assert bearing.individual_bearing(1.05, bearing.bearing_pressure(5000, 0, 9, 0)) == 47_250


@settings(deadline=None)
@given(st.lists(positive, min_size=1, max_size=6), positive)
def test_areas_add_up_and_grow_with_the_square(diameters, scale):
    plates = np.array(diameters)
    whole = bearing.individual_bearing(bearing.helix_area(plates), 1.0)
    assert whole == pytest.approx(sum(bearing.helix_area(one) for one in diameters))
    grown = bearing.helix_area(plates * scale)
    np.testing.assert_allclose(grown, bearing.helix_area(plates) * scale**2, rtol=1e-9)


@settings(deadline=None)
@given(st.floats(0, 45), st.floats(0.1, 3))
def test_bearing_factor_grows_with_friction(friction, more):
    assert bearing.bearing_factor(friction + more) > bearing.bearing_factor(friction)
    assert bearing.bearing_factor(friction) >= 1


@settings(deadline=None)
@given(positive, positive)
def test_the_governing_resistance_is_never_above_either(one, other):
    governs = bearing.governing_bearing(one, other)
    assert governs <= one
    assert governs <= other
    assert governs in (one, other)
