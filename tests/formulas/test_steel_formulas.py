"""Sections and lengths of a string."""

from __future__ import annotations

from core.formulas import steel
from tests.published import published


def test_tube_and_square():
    # Hand calculation: pi/4 x 88.9**2 = 6207.2 mm2; 38.1**2 = 1451.61 mm2.
    assert steel.tube_area(88.9) == published("6207.2")
    assert steel.square_area(38.1) == published("1451.61")


def test_length_in_ground_is_what_is_placed_less_what_is_cut_and_stands_out():
    assert steel.length_in_ground(7500, 620, 380) == 6500


def test_the_difference_to_the_toe_has_no_sign():
    assert steel.length_difference(3010, 3000) == steel.length_difference(2990, 3000) == 10
