"""How stored numbers are shown: depths in metres or feet, small lengths finer."""

import pytest

from core import units


@pytest.mark.parametrize("column", ["plan_offset_mm", "head_level_difference_mm", "resolution_mm"])
def test_a_small_length_is_shown_in_millimetres_or_inches(column):
    assert units.text(-38.1, column, "SI") == "-38 mm"
    assert units.text(-38.1, column, "US") == "-1.50 in"


def test_a_depth_is_shown_in_metres_or_feet():
    assert units.text(3048, "toe_mm", "SI") == "3.05 m"
    assert units.text(3048, "toe_mm", "US") == "10.0 ft"


def test_a_small_length_keeps_its_name_and_its_store_unit():
    assert units.shown_name("plan_offset_mm", "US") == "plan offset [in]"
    assert units.unit_word("plan_offset_mm") == "mm"
    assert units.role_of("plan_offset_mm") == "length"


def test_a_number_that_rounds_to_nothing_has_no_sign():
    assert units.text(-0.3, "plan_offset_mm", "SI") == "0 mm"
    assert units.text(-0.004, "take_ratio", "SI") == "0"
    assert units.text(-1.0, "plan_offset_mm", "SI") == "-1 mm"
