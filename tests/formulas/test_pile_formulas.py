"""Lengths of straight axes."""

import pytest

from core.formulas import piles


def test_vertical_length_of_a_three_four_five_batter():
    # Geometry: a slope of 3 horizontal on 4 vertical is 36.8699 degrees from vertical.
    assert piles.vertical_length(5000, 36.869897645844) == pytest.approx(4000)


def test_axial_length_is_the_inverse_of_vertical_length():
    assert piles.axial_length(piles.vertical_length(7350, 20), 20) == pytest.approx(7350)


def test_embedment_counts_from_the_lowest_level():
    assert piles.embedment_along_axis(9000, 1200, 0, 0) == pytest.approx(7800)


def test_embedment_never_counts_over_a_predrilled_length():
    assert piles.embedment_along_axis(9000, 0, 1500, 0) == pytest.approx(7500)


def test_scour_within_the_predrilled_length_is_not_lost_twice():
    assert piles.embedment_along_axis(9000, 1200, 1500, 0) == pytest.approx(7500)


def test_cover_over_a_helix_is_vertical():
    assert piles.cover_over_helix(6000, 1000, 60) == pytest.approx(2500)
