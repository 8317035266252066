"""Mess in numbers and units, cases 1 to 9 and 12: read as meant, or asked about; never guessed."""

import pytest

from core import units
from core.readers import Origin
from tests.published import published
from tests.readers.mess.books import (
    by,
    good,
    looked,
    problems,
    readings_layout,
    rows_taken,
    said,
    sheet,
    taken,
    words,
)


def readings(header, *cells, how=None):
    """Readings of pile 101 whose third column has this header and these cells."""
    rows = [["Pile", "Run", header, "Differential pressure (bar)"]]
    rows += [["101", "1", cell, 20 + at] for at, cell in enumerate(cells)]
    return taken(sheet(*rows), how)


def torques(unit, *cells):
    lines = [f"101,1,{at + 1},{cell}" for at, cell in enumerate(cells)]
    return taken("\n".join([f"Pile,Run,Depth (m),Torque ({unit})", *lines]) + "\n")


def test_case_01_two_rigs_in_two_units_come_to_one_with_the_unit_as_written():
    first = taken("Pile,Run,Depth (ft),Torque (ft·lbf)\n101,1,1,1000\n")
    second = taken("Pile,Run,Depth (m),Torque (kN·m)\n102,1,0.3048,1.355818\n")
    # NIST SP 811 (2008), App. B.8, "foot pound-force", printed 1.355 818 E+00 (from memory).
    assert good(first)["torque_read_nm"][0] / 1000 == published("1.355818")
    assert good(second)["torque_read_nm"] == pytest.approx([1355.818])
    assert good(first)["depth_mm"] == good(second)["depth_mm"] == [305]
    written = [
        one.mapping["sheets"][""]["torque_reading"]["torque_read_nm"]["unit"]
        for one in (first, second)
    ]
    assert written == ["ft·lbf", "kN·m"]


@pytest.mark.parametrize(
    ("spelling", "in_nm"),
    [
        ("ft-lb", "1.355818"), ("ft.lbs", "1.355818"), ("ftlb", "1.355818"),
        ("kip-ft", "1355.818"), ("k-ft", "1355.818"), ("kNm", "1000"), ("N-m", "1"),
    ],
)  # fmt: skip
def test_case_02_units_are_read_in_the_spellings_of_the_trade(spelling, in_nm):
    # NIST SP 811 (2008), App. B.8, "foot pound-force", printed 1.355 818 E+00 (from memory).
    assert good(torques(spelling, 1))["torque_read_nm"][0] == published(in_nm)


@pytest.mark.parametrize("unit", ["kft", "kip_foot", "ft lbm", "sack", "N"])
def test_case_02_a_spelling_outside_the_table_is_refused_and_never_interpreted(unit):
    result = torques(unit, 1)
    assert problems(result) == [("unknown unit", 1)]
    assert unit in words(result)
    assert rows_taken(result) == 0


@pytest.mark.parametrize("unit", ["J", "kJ", "N·m·rad", "ft-pdl"])
def test_case_03_energy_is_no_torque_though_its_dimension_is_the_same(unit):
    assert problems(torques(unit, 5000)) == [("unknown unit", 1)]


def test_case_04_gallons_without_their_country_are_refused_everywhere():
    assert units.accepted("gal", "volume") is None
    assert units.accepted("Gal", "volume") is None
    # NIST SP 811 (2008), App. B.8, "gallon (U.S.)" 3.785 412 E+00 L, "gallon [Canadian and U.K.
    # (Imperial)]" 4.546 09 E+00 L (from memory).
    for spelling, litres in (("US gal", "3.785412"), ("imp gal", "4.54609")):
        assert units.factor(units.accepted(spelling, "volume"), "litre") == published(litres)
    result = readings("Depth (gal)", 1)
    assert ("unknown unit", 1) in problems(result)
    assert "US gal or imp gal" in words(result)


@pytest.mark.parametrize("unit", ["ton", "tons", "t", "tonf", "short tons"])
def test_case_05_tons_are_refused_for_a_load(unit):
    header = "Position,Revision,Issued on,Status,Area,Type,Easting (m),Northing (m)"
    row = "101,A,2026-01-05,for construction,North,P1,100,200"
    result = taken(f"{header},Compression ({unit})\n{row},20\n")
    assert problems(result) == [("unknown unit", 1)]
    assert "kn" in words(result).casefold()
    assert "kip" in words(result)
    assert rows_taken(result) == 0


@pytest.mark.parametrize(
    ("text", "depth_mm"),
    [
        ("24'-6\"", 7468), ("24' 6 1/2\"", 7480), ("24’-6”", 7468), ("24′ 6″", 7468),
        ("24'-6''", 7468), ("24'\u00a06\"", 7468), ("60 ft 1 in", 18313), ("24'", 7315),
        ("24.5", 7468), ("24 ft 6", 7468),
    ],
)  # fmt: skip
def test_case_06_feet_and_inches_are_read_to_the_last_character(text, depth_mm):
    assert good(readings("Depth (ft)", text))["depth_mm"] == [depth_mm]


@pytest.mark.parametrize(
    "text", ["6'-5\" to 10.5'", "24'-6\" approx", "24'-13\"", "--24'", "24' - -6\"", '24\'6"""']
)
def test_case_06_what_is_left_over_makes_it_a_problem(text):
    result = readings("Depth (ft)", text)
    assert problems(result) == [("not a number", 2)]
    assert rows_taken(result) == 0


@pytest.mark.parametrize(("header", "text"), [("Depth (ft)", "24-6"), ("Depth (ft-in)", "24.6")])
def test_case_06_what_may_be_two_lengths_is_asked(header, text):
    result = readings(header, text)
    assert problems(result) == [("unclear length", 2)]
    assert good(readings("Depth (ft-in)", "24-6"))["depth_mm"] == [7468]
    assert good(readings("Depth (ft)", "24.6"))["depth_mm"] == [7498]


def test_case_06_a_level_below_the_datum_has_its_sign_once():
    header = "Position,Revision,Issued on,Status,Area,Type,Easting (m),Northing (m)"
    row = "101,A,2026-01-05,for construction,North,P1,100,200"
    result = taken(f'{header},Cut-off level (ft)\n{row},"-1\'-6"""\n')
    assert good(result, "schedule")["cutoff_level_m"] == pytest.approx([-0.4572])


COMMA = "Pile;Run;Depth (m);Differential pressure (kPa)\n101;1;0,6;1.234,5\n101;1;0,9;2.000,0\n"


def test_case_08_decimal_comma_is_read_when_the_layout_says_so():
    columns = {
        "pile_id": Origin(header="Pile"), "run_no": Origin(header="Run"),
        "depth_mm": Origin(header="Depth (m)", unit="m"),
        "pressure_kpa": Origin(header="Differential pressure (kPa)", unit="kPa"),
    }  # fmt: skip
    for how in (by(readings_layout(columns, decimal="comma")), said(decimal="comma")):
        rows = good(taken(COMMA, how))
        assert rows["depth_mm"] == [600, 900]
        assert rows["pressure_kpa"] == [1234.5, 2000.0]
    samples = looked(COMMA, said(decimal="comma")).sheets[0].recognised.set_index("column")
    assert samples.loc["pressure_kpa", "sample_1"] == "1.234,5 → 1,234.5 kPa"
    assert samples.loc["depth_mm", "sample_2"] == "0,9 → 900 mm"


def test_case_08_a_decimal_comma_that_nobody_has_stated_is_asked_about():
    result = taken(COMMA)
    assert rows_taken(result) == 0
    assert set(result.problems["column"]) == {"Depth (m)", "Differential pressure (kPa)"}
    assert "--decimal" in words(result)


def test_case_08_a_column_with_both_styles_is_a_problem():
    result = taken(
        "Pile;Run;Depth (m);Differential pressure (kPa)\n101;1;1;1.5\n101;1;2;2.5\n101;1;3;3,5\n",
        said(decimal="point"),
    )
    assert problems(result) == [("two number styles", 4)]
    assert len(result.frames["torque_reading"]) == 2


SCHEDULE = "Position,Revision,Issued on,Status,Area,Type,Easting (m),Northing (m)"
POSITION = "101,A,2026-01-05,for construction,North,P1,100,200"


def test_case_09_a_negative_load_is_told_where_tension_goes():
    result = taken(f"{SCHEDULE},Compression (kN)\n{POSITION},-120\n")
    assert problems(result) == [("impossible value", 2)]
    assert "compression and tension have columns of their own" in words(result)


def test_case_09_levels_below_the_datum_are_levels():
    result = taken(f"{SCHEDULE},Cut-off level (m),Ground level (m)\n{POSITION},-1.2,-0.4\n")
    rows = good(result, "schedule")
    assert (rows["cutoff_level_m"], rows["ground_level_m"]) == ([-1.2], [-0.4])


@pytest.mark.parametrize(
    ("header", "text"),
    [
        ("Batter from vertical (H:V)", "1:5"), ("Batter from vertical (deg)", "11.3099"),
        ("Batter from vertical (slope)", "20 %"), ("Batter from vertical (%)", "20"),
    ],
)  # fmt: skip
def test_case_09_a_batter_in_three_writings_is_one_angle_from_vertical(header, text):
    rows = good(taken(f"{SCHEDULE},{header}\n{POSITION},{text}\n"), "schedule")
    assert rows["batter_deg"] == [pytest.approx(11.3099, abs=1e-4)]  # the angle of tangent 1/5


def test_case_12_rounded_and_over_precise_values_are_kept_as_written():
    rounded = [500 * step for step in range(1, 8)]
    lines = [f"101,1,{at + 1},{torque}" for at, torque in enumerate(rounded)]
    rows = good(taken("\n".join(["Pile,Run,Depth (m),Torque (N·m)", *lines]) + "\n"))
    assert rows["torque_read_nm"] == rounded
    assert good(torques("N·m", "4987.6543210987"))["torque_read_nm"] == [4987.6543210987]
