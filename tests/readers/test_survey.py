"""Files of as-built surveys: the axis whole and in one way, dates in order, batters clear."""

import pytest

from tests.readers.files import kinds, said, taken

HEAD = "Pile,Survey stage,Date,Easting (m),Northing (m),Level (m),"
ROW = "101,after cut-off,2026-03-05,100.03,200.04,5.01,"


def survey(columns, values):
    return taken(f"{HEAD}{columns}\n{ROW}{values}\n")


@pytest.mark.parametrize(
    ("columns", "values"),
    [
        ("Head level (m)", ""),
        ("Batter from vertical (deg),Azimuth (deg)", "14,90"),
        ("Batter from vertical (deg)", "0.4"),
        ("Batter from vertical (h:v),Azimuth (deg)", "1:4,90"),
        ("Tilt east (deg),Tilt north (deg)", "-0.6,1.1"),
        ("Reviewed by,Date reviewed", "F. Invented,2026-03-05"),
    ],
)
def test_a_survey_is_taken_with_its_axis_given_in_one_way(columns, values):
    result = survey(columns, values)
    assert kinds(result) == []
    assert result.frames["survey"]["easting_m"].tolist() == [100.03]


@pytest.mark.parametrize(
    ("columns", "values", "lacking"),
    [
        ("Batter from vertical (deg),Azimuth (deg)", ",90", "Batter from vertical (deg)"),
        ("Azimuth (deg)", "90", "batter from vertical"),
        ("Tilt east (deg),Tilt north (deg)", "0.5,", "Tilt north (deg)"),
        ("Tilt north (deg)", "0.5", "tilt east"),
    ],
)
def test_half_an_axis_is_a_problem_that_names_the_other_half(columns, values, lacking):
    result = survey(columns, values)
    assert kinds(result) == [("missing value", 2)]
    assert f"but no {lacking}." in said(result)
    assert len(result.frames["survey"]) == 0


def test_a_batter_beside_tilts_is_two_axes():
    columns = "Batter from vertical (deg),Azimuth (deg),Tilt east (deg),Tilt north (deg)"
    result = survey(columns, "14,90,0.5,0.5")
    assert kinds(result) == [("two axes", 2)]
    assert "Pile 101 has a batter of 14 and tilts as well" in said(result)


def test_nobody_reviews_a_survey_before_it_is_taken():
    result = survey("Date reviewed", "2026-03-04")
    assert kinds(result) == [("dates out of order", 2)]
    assert "2026-03-04, before it was taken on 2026-03-05" in said(result)


@pytest.mark.parametrize("heading", ["Batter (deg)", "Inclination (deg)"])
def test_a_batter_that_does_not_say_from_where_is_asked(heading):
    result = survey(f"{heading},Azimuth (deg)", "14,90")
    assert kinds(result)[0] == ("unclear column", 1)
    assert "from vertical or from horizontal" in said(result)


def test_a_stage_that_is_none_names_the_four():
    result = taken(f"{HEAD.rstrip(',')}\n{ROW.rstrip(',').replace('after cut-off', 'later')}\n")
    assert [kind for kind, _ in kinds(result)] == ["unknown word"]
    assert "before concrete" in said(result)
