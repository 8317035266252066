"""Feet and inches are read to the last character, in one meaning, or not at all."""

from __future__ import annotations

import pytest

from core import units
from core.units import feet_inches
from tests.readers.cells import faulted, read, table
from tests.readers.files import said, taken


@pytest.mark.parametrize(
    "text",
    [
        "24'-6\"", "24' 6\"", "24'6\"", "24'-6''", "24’-6”", "24‘6’’", "24′ 6″", "24´-6´´",
        "24'\u00a06\"", "24'–6\"", "24' - 6\"", "24'- 6\"", "24 ft 6 in", "24ft-6in", "24ft6in",
        "24 ft. 6 in.", "24 Feet 6 Inches", "24' 6.0\"", "24'-6", "24.5'", "294\"", "294 in",
    ],
)  # fmt: skip
def test_every_spelling_of_twenty_four_feet_six_is_read(text):
    assert feet_inches.inches(text) == 294


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("24' 6 1/2\"", 294.5), ("24' 6½\"", 294.5), ("24'-6-1/2\"", 294.5), ("24' 1/2\"", 288.5),
        ("24' 0 3/8\"", 288.375), ("6 7/8\"", 6.875), ("½\"", 0.5), ("24'", 288), ("6\"", 6),
        ("-24'-6\"", -294), ("−24' 6\"", -294), ("- 6\"", -6), ("0'-0\"", 0),
    ],
)  # fmt: skip
def test_fractions_lone_parts_and_one_minus_are_read(text, inches):
    assert feet_inches.inches(text) == inches


@pytest.mark.parametrize(
    "text",
    [
        "6'-5\" to 10.5'", "24'-6\" approx", "24'-12\"", "24'-6\" 2", "--24'", "-24' -6\"",
        "24'--6\"", "-24'--6\"", "24.5'6\"", "24' 6 2/2\"", "24' 6 1/0\"", "24' 6' 1", "'", '"',
        "", "ft", "24", "24.6", "24-6", "٢٤'", "24'6\"\n24'7\"",
    ],
)  # fmt: skip
def test_what_is_not_read_to_its_last_character_is_not_read(text):
    assert feet_inches.inches(text) is None


def test_a_foot_and_an_inch_are_the_international_ones():
    # International yard and pound agreement of 1959, as in NIST SP 811, App. B.8 (from memory):
    # 1 ft = 0.3048 m and 1 in = 25.4 mm, exactly.
    assert units.to_store(feet_inches.inches("1'"), "inch", "depth_mm") == pytest.approx(
        304.8, rel=1e-15
    )
    assert units.to_store(feet_inches.inches('1"'), "inch", "depth_mm") == pytest.approx(
        25.4, rel=1e-15
    )


def depths(*texts, unit, expression):
    headers = {"depth_mm": (f"Depth ({unit})", unit)}
    return read(table("torque_reading", headers, depth_mm=texts), {"depth_mm": expression})


def millimetres(result):
    return result.values["depth_mm"].tolist()


def test_under_feet_and_inches_cells_need_no_marks():
    result = depths("24-6", "24 6", "24-6 1/2", "24", "24'-6\"", unit="ft-in",
                    expression=units.FEET_AND_INCHES)  # fmt: skip
    # 24 ft 6 in = 294 in = 7467.6 mm; 294.5 in = 7480.3 mm; 24 ft = 7315.2 mm.
    assert millimetres(result) == [7468, 7468, 7480, 7315, 7468]
    assert faulted(result) == []


def test_under_feet_and_inches_a_decimal_may_be_two_lengths():
    result = depths("24.6", "24-12", unit="ft-in", expression=units.FEET_AND_INCHES)
    assert faulted(result) == [("unclear length", 2), ("not a length", 3)]
    assert "24.6, which may be 24 ft 6 in or 24.6 ft" in result.said


def test_under_feet_plain_numbers_are_decimal_and_marks_are_read():
    result = depths("24.5", "24'-6\"", "24", unit="ft", expression="ft")
    assert millimetres(result) == [7468, 7468, 7315]
    assert faulted(result) == []


@pytest.mark.parametrize("text", ["24-6", "24 6", "24-6 1/2"])
def test_under_feet_a_pair_without_marks_is_asked_about(text):
    result = depths(text, unit="ft", expression="ft")
    assert faulted(result) == [("unclear length", 2)]
    assert "feet and inches without their marks?" in result.said


@pytest.mark.parametrize(("unit", "expression"), [("m", "m"), ("mm", "mm"), ("in", "inch")])
def test_feet_and_inches_under_another_unit_are_a_problem(unit, expression):
    result = depths("24'-6\"", unit=unit, expression=expression)
    assert faulted(result) == [("another unit", 2)]
    assert f"feet and inches in a column of {unit}." in result.said


@pytest.mark.parametrize(
    "header",
    ["Depth (ft-in)", "Depth [ft in]", "Depth, feet and inches", "Depth (ft & in)", "depth ft-in",
     "Depth (Feet-Inches)"],
)  # fmt: skip
def test_a_header_states_feet_and_inches(header):
    result = taken(f'Pile;{header};Differential pressure (bar)\n1;24-6;20\n2;6";20\n')
    assert said(result) == ""
    assert list(result.frames["torque_reading"]["depth_mm"]) == [7468, 152]
