"""A batter may be an angle or a slope; both become degrees from vertical."""

from __future__ import annotations

import pytest

from core import units
from core.readers import numbers as slopes
from tests.published import published
from tests.readers.cells import faulted, read, table


def batters(*texts, unit=None, expression="degree", name="batter_deg"):
    return read(table("schedule", {name: ("Batter from vertical", unit)}, **{name: texts}),
                {name: expression})  # fmt: skip


@pytest.mark.parametrize(
    ("text", "ratio"),
    [("1:5", 0.2), ("1 in 5", 0.2), ("20 %", 0.2), ("20%", 0.2), ("1H:5V", 0.2), ("5V:1H", 0.2),
     ("2H:1V", 2), ("0:1", 0), ("1:1", 1)],
)  # fmt: skip
def test_a_slope_is_horizontal_over_vertical(text, ratio):
    assert slopes.ratio(text) == pytest.approx(ratio, rel=1e-15)


@pytest.mark.parametrize("text", ["5:1", "1:0", "1", "0.2", "1:5:2", "-1:5", "1 to 5", ""])
def test_a_pair_that_may_be_either_way_round_is_no_slope(text):
    assert slopes.ratio(text) is None


def test_one_in_five_is_the_angle_whose_tangent_is_a_fifth():
    # Geometry: tan 45° = 1; tan 30° = 1/√3; arctan 0.2 = 11.31° by any table of tangents.
    assert units.slope_deg(1) == pytest.approx(45)
    assert units.slope_deg(3**-0.5) == pytest.approx(30)
    assert units.slope_deg(0.2) == published("11.31")


@pytest.mark.parametrize(
    ("texts", "unit", "expression"),
    [
        (("1:5", "1 in 5", "20 %", "0.2"), "h:v", "slope"),
        (("1:5", "20 %", "20"), "%", "percent"),
        (("1:5", "1 in 5", "20%"), None, "degree"),
    ],
)
def test_slopes_become_degrees_under_a_slope_or_no_unit(texts, unit, expression):
    result = batters(*texts, unit=unit, expression=expression)
    assert faulted(result) == []
    assert result.values["batter_deg"].tolist() == pytest.approx([11.3099] * len(texts), rel=1e-5)


def test_a_slope_under_degrees_is_a_problem():
    result = batters("1:5", "11.3", unit="deg")
    assert faulted(result) == [("another unit", 2)]
    assert "1:5, a slope in a column of degrees" in result.said


def test_a_slope_that_a_spreadsheet_made_a_time_of_says_so():
    result = batters("01:05:00", unit="h:v", expression="slope")
    assert faulted(result) == [("not a number", 2)]
    assert "If a spreadsheet made a time of it" in result.said


def test_a_direction_is_no_slope():
    result = batters("20", unit="%", expression="percent", name="azimuth_deg")
    assert faulted(result) == [("another unit", 2)]
    assert faulted(batters("1:5", name="azimuth_deg")) == [("another unit", 2)]
