"""A header names a column and its unit; what is not clear is a problem, never a default."""

from __future__ import annotations

import json

import pytest

from core import units
from core.readers import headers
from core.readers.headers import folded, meaning
from core.readers.recognise import file_kinds, recognised
from core.records import KIND
from tests.readers.files import kinds, readings, said, taken

WORDS = [
    (kind, column.name, name)
    for kind in file_kinds()
    for column in KIND[kind].columns
    for name in (column.name, *column.aliases)
]
SPELLINGS = [(role, text) for role, table in units.SPELLINGS.items() for text in table]


@pytest.mark.parametrize(("kind", "column", "name"), WORDS)
def test_every_alias_means_exactly_one_column_of_its_kind(kind, column, name):
    heading = meaning(name, kind)
    assert heading is not None
    assert heading.column == column


def test_a_header_is_folded_once_for_all_kinds_that_may_know_it(monkeypatch):
    headers.vocabulary()
    folds = []
    monkeypatch.setattr(headers, "folded", lambda text: folds.append(text) or folded(text))
    assert recognised(["Weight of the crane (t)"]) == 0
    ways = list(headers._ways("Weight of the crane (t)"))
    assert len(folds) <= len(ways) + 3


@pytest.mark.parametrize(("role", "spelling"), SPELLINGS)
def test_every_unit_spelling_is_accepted_and_has_the_dimension_of_its_role(role, spelling):
    suffix = next(suffix for suffix in units.SUFFIXES if suffix.role == role)
    expression = units.accepted(spelling.upper(), role)
    assert expression is not None
    assert units.factor(expression, suffix.expression) > 0


@pytest.mark.parametrize(
    "header", ["Depth (ft)", "depth [ft]", "DEPTH, ft", "Depth_ft", "depth ft.", "Depth (Feet)"]
)
def test_a_unit_is_read_in_every_usual_place(header):
    result = taken(f"Pile;{header};Differential pressure (bar)\n1;12.3;20\n")
    assert said(result) == ""
    assert list(result.frames["torque_reading"]["depth_mm"]) == [3749]


@pytest.mark.parametrize(
    "header", ["PILE NO.", "pile_no", "Pile-No", "pile #", "Pile/No:", "Pile (No.)"]
)
def test_letter_case_and_separators_of_a_header_do_not_matter(header):
    result = taken(f"{header},Depth (m),Differential pressure (bar)\n0012,0.3,20\n")
    assert said(result) == ""


def test_a_store_name_carries_its_unit():
    result = taken("pile_id,depth_mm,torque_read_nm\n1,300,1500\n")
    assert said(result) == ""
    assert list(result.frames["torque_reading"]["torque_read_nm"]) == [1500.0]
    heading = result.mapping["sheets"][""]["torque_reading"]["depth_mm"]
    assert heading == {"header": "depth_mm", "unit": ""}


def test_a_missing_unit_is_a_problem_and_nothing_is_taken():
    result = readings("1,1,0.3,20", header="Pile,Run,Depth,Differential pressure (bar)")
    assert kinds(result) == [("unit not stated", 1)]
    assert "such as Depth (m) or Depth (ft)" in said(result)
    assert (result.frames, result.rows_left_out) == ({}, 1)


def test_an_unknown_unit_lists_the_known_ones():
    result = readings("1,1,0.3,20", header="Pile,Run,Depth (fathom),Differential pressure (bar)")
    assert kinds(result) == [("unknown unit", 1)]
    assert "fathom is not a known unit of length" in said(result)
    assert "mm, cm, m, ft, in" in said(result)


def test_a_unit_of_another_quantity_is_refused():
    result = readings("1,1,0.3,20", header="Pile,Run,Depth (psi),Differential pressure (bar)")
    assert kinds(result) == [("unknown unit", 1)]


@pytest.mark.parametrize("unit", ["ton", "tons", "gal"])
def test_a_unit_that_names_two_things_is_refused(unit):
    text = "Position,Rev,Issued,Status,Area,Type,Easting (m),Northing (m),Compression (kN)\n"
    result = taken(text.replace("(kN)", f"({unit})") + "1,A,2026-01-05,ifc,North,P1,1,2,3\n")
    assert kinds(result) == [("unknown unit", 1)]
    assert "names two different things" in said(result)


def test_a_store_name_with_another_unit_beside_it_is_a_problem():
    result = readings("1,1,1,20", header="Pile,Run,depth_mm (ft),Differential pressure (bar)")
    assert kinds(result) == [("two units", 1)]
    same = readings("1,1,300,20", header="Pile,Run,depth_mm (mm),Differential pressure (bar)")
    assert said(same) == ""


def test_a_near_word_stops_the_sheet_and_is_never_applied():
    result = readings(
        "1,1,0.3,20,Ann", header="Pile,Run,Depth (m),Differential pressure (bar),Diraction"
    )
    assert kinds(result) == [("column not read", 1)]
    assert "The heading is nearly direction and is not read (Ann)" in said(result)
    assert result.frames == {}


def test_columns_nobody_knows_are_listed_as_unread():
    result = readings(
        "1,1,0.3,20,sun", header="Pile,Run,Depth (m),Differential pressure (bar),Weather"
    )
    assert said(result) == ""
    assert result.mapping["unread"] == ["Weather"]


@pytest.mark.parametrize("second", ["Depth (ft)", "Depth of toe (m)", "depth_mm"])
def test_two_headers_for_one_column_are_a_problem(second):
    result = readings(
        "1,1,0.3,20,1", header=f"Pile,Run,Depth (m),Differential pressure (bar),{second}"
    )
    assert kinds(result) == [("repeated column", 1)]
    assert result.frames == {}


def test_times_in_another_zone_are_not_taken_as_local():
    result = readings(
        "1,1,0.3,20,2026-03-04 07:30",
        header="Pile,Run,Depth (m),Differential pressure (bar),Time (UTC)",
    )
    assert kinds(result) == [("unknown unit", 1)]
    assert result.frames == {}


def test_the_mapping_says_how_the_file_was_read():
    mapping = readings("1,1,0.3,20").mapping
    assert json.loads(json.dumps(mapping)) == mapping
    assert mapping["sheets"][""]["torque_reading"]["pressure_kpa"] == {
        "header": "Differential pressure (bar)",
        "unit": "bar",
    }
    assert mapping["zone"] == "America/Chicago"


def test_names_are_folded_alike():
    assert folded(" Cut-Off_Level ") == folded("cut off level") == "cut off level"


SCHEDULE = "Position,Rev,Issued,Status,Area,Type,Easting (m),Northing (m)"
ROW = "1,A,2026-01-05,ifc,North,P1,1,2"


@pytest.mark.parametrize(
    "header", ["Batter (deg)", "batter", "BATTER [°]", "Batter deg", "Inclination (deg)"]
)
def test_a_bare_batter_is_asked_about_and_nothing_is_taken(header):
    result = taken(f"{SCHEDULE},{header}\n{ROW},30\n")
    assert kinds(result) == [("unclear column", 1)]
    assert "from vertical or from horizontal?" in said(result)
    assert "Batter from vertical" in said(result)
    assert (result.frames, result.rows_left_out) == ({}, 1)


@pytest.mark.parametrize(
    "header", ["Batter from vertical (deg)", "inclination from vertical, deg", "batter_deg"]
)
def test_a_batter_from_vertical_is_taken(header):
    text = f"{SCHEDULE},{header}\n{ROW},30\n".replace(",", ";").replace("vertical;", "vertical,")
    result = taken(text)
    assert said(result) == ""
    assert list(result.frames["schedule"]["batter_deg"]) == [30.0]


@pytest.mark.parametrize(
    ("header", "unit"),
    [("Easting (m)", "m"), ("easting [m]", "m"), ("EASTING, m", "m"), ("easting_m", "")],
)
def test_the_mapping_has_the_unit_of_a_header_that_is_a_store_name_in_words(header, unit):
    text = f"{SCHEDULE}\n{ROW}\n".replace(",", ";").replace("Easting (m)", header)
    result = taken(text)
    assert said(result) == ""
    mapping = result.mapping["sheets"][""]["schedule"]
    assert mapping["easting_m"] == {"header": header, "unit": unit}
