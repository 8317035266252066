"""Places, axes and levels against hand calculations and plain vectors."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.formulas import geometry
from tests.published import published

ANGLES = st.floats(0, 80)
AZIMUTHS = st.floats(0, 360)


def down(batter_deg, azimuth_deg):
    """The unit vector down an axis, written out."""
    east = geometry.axis_east(batter_deg, azimuth_deg)
    north = geometry.axis_north(batter_deg, azimuth_deg)
    return np.array([east, north, -np.cos(np.deg2rad(batter_deg))])


def test_an_axis_leaning_north_has_no_eastward_part():
    assert geometry.axis_east(30, 0) == pytest.approx(0)
    assert geometry.axis_north(30, 0) == pytest.approx(0.5)
    assert geometry.axis_east(30, 90) == pytest.approx(0.5)


def test_a_point_surveyed_up_a_one_in_four_batter_is_150_mm_out_before_projection():
    # Hand calculation: 0.6 m up a batter of 1 horizontal on 4 vertical is 0.6 / 4 = 0.150 m.
    batter = np.rad2deg(np.arctan(1 / 4))
    share = geometry.axis_east(batter, 90)
    east = geometry.projected(1000.0, 3.6, 3.0, batter, share)
    assert east - 1000.0 == published("0.150")


def test_a_vertical_axis_is_where_it_was_surveyed():
    assert geometry.projected(1000.0, 3.6, 3.0, 0, geometry.axis_east(0, 0)) == 1000.0


def test_offset_is_the_hypotenuse():
    assert geometry.plan_offset(30, 40) == pytest.approx(50)


def test_axes_of_one_slope_in_two_directions_are_apart():
    # Two slopes of 45 degrees towards north and east: cos = 1/2, so 60 degrees.
    assert geometry.angle_between(45, 0, 45, 90) == pytest.approx(60)


def test_a_small_angle_keeps_its_digits():
    assert geometry.angle_between(20, 110, 20.0001, 110) == pytest.approx(0.0001, rel=1e-6)


@given(ANGLES, AZIMUTHS, ANGLES, AZIMUTHS)
def test_angle_between_axes_is_that_of_their_vectors(one, turn, other, other_turn):
    # numpy's cross and dot product of the vectors, an independent way to the same angle.
    a, b = down(one, turn), down(other, other_turn)
    expected = np.rad2deg(np.arctan2(np.linalg.norm(np.cross(a, b)), a @ b))
    found = geometry.angle_between(one, turn, other, other_turn)
    assert found == pytest.approx(expected, abs=1e-5)


def test_plumb_combines_two_slopes_like_a_right_triangle():
    # Hand calculation: slopes of 3 % and 4 % make one of 5 %.
    slopes = np.rad2deg(np.arctan([0.03, 0.04, 0.05]))
    assert geometry.plumb(slopes[0], slopes[1]) == pytest.approx(slopes[2])


@pytest.mark.parametrize(
    ("east", "north", "azimuth"),
    [(0, 2, 0), (2, 2, 45), (2, 0, 90), (0, -2, 180), (-2, 0, 270), (0, 0, 0)],
)
def test_tilts_lean_towards_their_quarter_of_the_compass(east, north, azimuth):
    assert geometry.lean_azimuth(east, north) == pytest.approx(azimuth, abs=1e-9)


@given(st.floats(-80, 80), st.floats(-80, 80))
def test_tilts_give_the_axis_of_their_two_slopes(east, north):
    # The vector down an axis that falls 1 and goes tan(tilt) aside in each plane.
    slopes = np.tan(np.deg2rad([east, north]))
    expected = np.array([*slopes, -1.0]) / np.linalg.norm([*slopes, 1.0])
    found = down(geometry.plumb(east, north), geometry.lean_azimuth(east, north))
    assert found == pytest.approx(expected, abs=1e-9)
