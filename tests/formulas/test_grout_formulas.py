"""The grout column: void, take and equivalent diameter."""

from __future__ import annotations

import numpy as np

from core.formulas import grout, steel
from tests.published import published

MM3_PER_L = 1e6


def test_void_of_a_square_shaft_in_a_disc_s_hole():
    # Hand calculation: (pi/4 x 150**2 - 38.1**2) mm2 x 6.0 m = 97.32 L.
    found = grout.void_volume(150, steel.square_area(38.1), 6000)
    assert found / MM3_PER_L == published("97.32")


def test_void_around_a_tube():
    # Hand calculation: pi/4 x (200**2 - 88.9**2) mm2 x 8.0 m = 201.67 L.
    found = grout.void_volume(200, steel.tube_area(88.9), 8000)
    assert found / MM3_PER_L == published("201.67")


def test_void_in_inches_is_the_same_void():
    # Hand calculation: (pi/4 x 6**2 - 1.5**2) in2 x 240 in = 3.6145 ft3; 1 in = 25.4 mm exactly.
    found = grout.void_volume(6 * 25.4, steel.square_area(1.5 * 25.4), 240 * 25.4)
    assert found / 304.8**3 == published("3.6145")


def test_take_by_lift_finds_the_lift_under_its_void():
    # Hand calculation: 30, 22 and 26 L over 24.330 L each.
    void = grout.void_volume(150, steel.square_area(38.1), 1500) / MM3_PER_L
    ratios = grout.take_ratio(np.array([30.0, 22.0, 26.0]), void)
    assert [ratios[0], ratios[1], ratios[2]] == [
        published("1.233"),
        published("0.904"),
        published("1.069"),
    ]


def test_waste_that_is_not_known_leaves_the_net_unknown():
    assert grout.net_volume(80, 5, 3, 2) == 70
    assert np.isnan(grout.net_volume(80, 5, np.nan, 2))


def test_bore_is_a_cylinder():
    # Hand calculation: pi/4 x 76.9**2 mm2 x 8.0 m = 37.156 L.
    assert grout.bore_volume(76.9, 8000) / MM3_PER_L == published("37.156")
