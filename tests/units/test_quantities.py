"""A quantity is read whole, in one meaning, or refused with the units that it may have."""

from __future__ import annotations

import re

import pytest

from core.units import quantities
from core.units.quantities import Quantity, read


@pytest.mark.parametrize(
    ("text", "column", "value"),
    [
        ("900 mm", "window_mm", 900),
        ("3 ft", "window_mm", 914.4),
        ("3ft", "window_mm", 914.4),
        ("  36   in ", "window_mm", 914.4),
        ("0.9 m", "window_mm", 900),
        ("1e3 mm", "window_mm", 1000),
        (".5 in", "window_mm", 12.7),
        ("-3 ft", "window_mm", -914.4),
        ("3'-6\"", "window_mm", 1066.8),
        ("3 ft 6 in", "window_mm", 1066.8),
        ("3 1/2 in", "outside_diameter_mm", 88.9),
        ("8000 ft·lbf", "rated_torque_nm", 8000 * 1.3558179483314004),
        ("8000 ft.lbf", "rated_torque_nm", 8000 * 1.3558179483314004),
        ("11 kN·m", "rated_torque_nm", 11000),
        ("3600 psi", "full_scale_kpa", 24821.126),
        ("3600 psi", "min_mpa", 24.821126),
        ("117 kip", "ultimate_kn", 520.4419),
        ("115 lb/ft3", "min_kg_m3", 1842.1238),
        ("3 mil", "zinc_um", 76.2),
        ("2°", "max_deg", 2),
        ("2 %", "max_deg", 1.145763),
        ("7 1/ft", "factor_per_m", 22.965879),
        ("4 h", "stop_h", 4),
        ("0.2 %", "max_percent", 0.2),
        ("5 US gal", "volume_l", 18.927059),
    ],
)
def test_a_number_with_a_known_unit_is_read_in_the_store_unit(text, column, value):
    assert read(text, [column]) == Quantity(column, pytest.approx(value, rel=1e-6))


def test_the_dimension_of_the_unit_says_which_of_two_columns_is_meant():
    columns = ("full_scale_kpa", "full_scale_nm")
    assert read("3600 psi", columns).column == "full_scale_kpa"
    assert read("9000 ft-lb", columns).column == "full_scale_nm"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("900", 'has no unit; write a text with number and unit (mm, cm, m, ft or in), such as '
                '"900 mm"'),
        ("900 mm2", "mm2 is not a known unit of length; write one of: mm, cm, m, ft or in"),
        ("3 tons", "tons is not a known unit of length"),
        ("3,5 ft", "write the number with a decimal point and without thousands separators"),
        ("8,000 mm", "write the number with a decimal point and without thousands separators"),
        ("8 000 mm", "write the number with a decimal point and without thousands separators"),
        ("９００ mm", "is not a number with a unit"),
        ("nan mm", "is not a number with a unit"),
        ("inf mm", "is not a number with a unit"),
        ("", "is not a number with a unit"),
        ("mm", "is not a number with a unit"),
        ("about 3 ft", "is not a number with a unit"),
        ("3 1/2", "is not a number with a unit"),
        ("3 in 12", "in 12 is not a known unit of length"),
        ("3 ft 14 in", "ft 14 in is not a known unit of length"),
        ("1e999 mm", "is too large a number"),
        ("3 ft-in", "ft-in is not a known unit of length"),
    ],
)  # fmt: skip
def test_anything_else_is_refused_with_what_to_write(text, said):
    with pytest.raises(ValueError, match=re.escape(said)):
        read(text, ["window_mm"])


@pytest.mark.parametrize(
    ("text", "column", "said"),
    [
        ("5 gal", "volume_l", "gal names two different things; write US gal or imp gal"),
        ("9 tons", "ultimate_kn", "tons names two different things; write kN or kip"),
    ],
)
def test_an_ambiguous_unit_is_refused_in_the_words_of_the_table(text, column, said):
    with pytest.raises(ValueError, match=said):
        read(text, [column])


@pytest.mark.parametrize(
    ("text", "column", "value"),
    [("3 ft", "window_mm", 914), ("0.5 in", "window_mm", 13), ("7 days", "age_days", 7)],
)
def test_a_length_is_rounded_to_whole_millimetres(text, column, value):
    assert quantities.whole(read(text, [column])) == value


def test_a_part_of_a_day_is_refused_where_whole_days_count():
    with pytest.raises(ValueError, match="must be a whole number of days"):
        quantities.whole(read("1.5 days", ["age_days"]))


@pytest.mark.parametrize(("text", "value"), [("6 in", 153), ("1 ft", 305), ("305 mm", 305)])
def test_a_maximum_of_a_difference_is_rounded_up(text, value):
    assert quantities.whole(read(text, ["toe_reading_mm"]), up=True) == value


@pytest.mark.parametrize(
    ("text", "column", "system", "shown"),
    [
        ("3 ft", "window_mm", "US", "3 ft"),
        ("3 feet", "window_mm", "US", "3 feet"),
        ("3 ft", "window_mm", "SI", "3 ft (0.91 m)"),
        ("900 mm", "window_mm", "SI", "900 mm (0.90 m)"),
        ("0.9 m", "window_mm", "SI", "0.9 m"),
        ("8000 ft·lbf", "rated_torque_nm", "SI", "8000 ft·lbf (10.85 kN·m)"),
        ("11 kN·m", "rated_torque_nm", "US", "11 kN·m (8,113 ft·lbf)"),
    ],
)
def test_a_quantity_is_shown_as_written_with_its_value_in_another_unit(text, column, system, shown):
    assert quantities.shown(text, column, system) == shown


@pytest.mark.parametrize("text", ["8/10 in", "10/12 in", "14/16 in", '12/14"'])
def test_two_sizes_with_a_slash_are_no_fraction_of_an_inch(text):
    with pytest.raises(ValueError, match="write "):
        quantities.read(text, ("helix_mm",))


def test_fractions_of_a_tape_are_read():
    assert quantities.read("7/8 in", ("helix_mm",)).value == pytest.approx(22.225)
    assert quantities.read("8 14/16 in", ("helix_mm",)).value == pytest.approx(225.425)


@pytest.mark.parametrize(("text", "column"), [("5.000 psi", "min_mpa"), ("8.000 N·m", "torque_nm")])
def test_three_zeros_behind_a_point_may_be_thousands(text, column):
    with pytest.raises(ValueError, match="without the zeros behind the point"):
        quantities.read(text, (column,))


def test_a_size_with_three_decimals_is_read():
    assert quantities.read("2.375 in", ("outside_diameter_mm",)).value == pytest.approx(60.325)
