"""Surveys beside the design: which judges, where the axis meets cut-off level, axis and head."""

import numpy as np
import pandas as pd
import pytest

from core import records
from core.compute.measures import survey

NAN = np.nan
PILE = {
    "pile_id": "P1",
    "easting_m": 100.0,
    "northing_m": 200.0,
    "cutoff_level_m": 5.0,
    "batter_deg": NAN,
    "azimuth_deg": NAN,
    "element": "helical pile",
    "survey_stages": None,
}


def surveys(*rows):
    base = {"pile_id": "P1", "survey_stage": "after cut-off", "surveyed_on": "2026-03-05"}
    base |= {"easting_m": 100.0, "northing_m": 200.0, "level_m": 5.0}
    frame = pd.DataFrame([{**base, **row} for row in rows or [{}]])
    return records.typed(frame, records.KIND["survey"].columns)


def piles(**changed):
    return pd.DataFrame([{**PILE, **changed}]).astype({"pile_id": "str"})


def measured(pile=None, **given):
    return survey.with_deviations(surveys(given), piles(**(pile or {}))).iloc[0]


def judging(*rows, **pile):
    counted = survey.counting_surveys(surveys(*rows), piles(**pile))
    frame = survey.with_judging(counted)
    return frame.loc[frame["judges"], "survey_stage"].tolist()


def test_the_last_survey_judges_and_of_one_day_the_later_stage():
    first = {"survey_stage": "before concrete", "surveyed_on": "2026-03-05"}
    assert judging(first, {"surveyed_on": "2026-03-06"}) == ["after cut-off"]
    assert judging(first, {"surveyed_on": "2026-03-05"}) == ["before concrete"]
    again = {"survey_stage": "re-survey", "surveyed_on": "2026-03-05"}
    assert judging(again, first) == ["re-survey"]


def test_only_stages_that_the_type_names_count():
    rows = {"survey_stage": "before concrete"}, {"survey_stage": "re-survey"}
    assert judging(*rows, survey_stages=("before concrete",)) == ["before concrete"]
    assert judging(*rows, survey_stages=("after installation",)) == []
    assert judging(*rows, survey_stages=None) == ["re-survey"]


def at_covering(*rows, day="2026-03-10", **pile):
    counted = survey.counting_surveys(surveys(*rows), piles(**pile))
    covered = pd.DataFrame({"pile_id": ["P1"], "stage_on": pd.to_datetime([day])})
    found = survey.reviews_at_covering(counted, covered.astype({"pile_id": "str"}))
    return found[["covered_survey_stage", "covered_reviewed_by"]].iloc[0].tolist()


def test_concrete_is_placed_on_the_last_survey_that_counts_by_then():
    first = {"surveyed_on": "2026-03-05", "reviewed_by": "Ada", "reviewed_on": "2026-03-06"}
    again = {"survey_stage": "re-survey", "surveyed_on": "2026-03-10", "reviewed_by": "Bo"}
    assert at_covering(first, again) == ["re-survey", "Bo"]
    assert at_covering(first, {**again, "surveyed_on": "2026-03-11"}) == ["after cut-off", "Ada"]
    assert at_covering(first, again, survey_stages=("after cut-off",)) == ["after cut-off", "Ada"]
    assert pd.isna(at_covering(first, day="2026-03-04")).all()


def test_a_pile_has_the_numbers_of_its_judging_survey_alone():
    frame = survey.with_deviations(
        surveys({"easting_m": 100.9}, {"survey_stage": "re-survey", "easting_m": 100.02}), piles()
    )
    counted = survey.with_judging(survey.counting_surveys(frame, piles()))
    found = survey.survey_measures(counted)
    assert found[["pile_id", "offset_east_mm"]].to_numpy().tolist() == [["P1", 20]]


def test_offsets_are_signed_radial_and_the_greater_of_the_axes():
    found = measured(easting_m=99.97, northing_m=200.04)
    assert (found["offset_east_mm"], found["offset_north_mm"]) == (-30, 40)
    assert (found["plan_offset_mm"], found["axis_offset_mm"]) == (50, 40)


def test_an_offset_in_national_coordinates_stands_exactly_on_its_limit():
    place = {"easting_m": 612345.1, "northing_m": 5512345.3}
    found = measured(place, easting_m=612345.175, northing_m=5512345.3)
    assert found["plan_offset_mm"] == 75


def test_the_as_built_axis_goes_before_that_of_the_design():
    # 0.5 m down a tilt of 1:100 to the east is 5 mm, whatever the design's 45 degrees.
    pile = {"batter_deg": 45.0, "azimuth_deg": 0.0}
    tilts = {"tilt_east_deg": np.rad2deg(np.arctan(0.01)), "tilt_north_deg": 0.0}
    found = measured(pile, level_m=5.5, **tilts)
    assert found["offset_east_mm"] == 5
    assert found["offset_north_mm"] == 0
    found = measured(pile, level_m=5.5)
    assert (found["offset_east_mm"], found["offset_north_mm"]) == (0, 500)


def test_a_point_under_cut_off_level_is_projected_upward():
    found = measured({"batter_deg": 45.0, "azimuth_deg": 90.0}, level_m=4.9)
    assert found["offset_east_mm"] == -100


def test_a_pile_without_batter_is_upright_and_an_anchor_is_not_known():
    assert measured(level_m=5.5)["plan_offset_mm"] == 0
    anchor = {"element": "helical anchor"}
    assert np.isnan(measured(anchor, level_m=5.5)["plan_offset_mm"])
    assert measured(anchor, level_m=5.0)["plan_offset_mm"] == 0  # nothing to project
    assert np.isnan(measured(anchor, batter_deg=10.0, azimuth_deg=0.0)["axis_angle_deg"])


@pytest.mark.parametrize(
    ("pile", "given"),
    [
        ({"cutoff_level_m": NAN}, {}),
        ({}, {"level_m": NAN}),
        ({}, {"level_m": 5.5, "batter_deg": 3.0}),  # leans, but nobody says where
        ({"batter_deg": 20.0}, {"level_m": 5.5}),
        ({}, {"level_m": 5.5, "batter_deg": 90.0, "azimuth_deg": 0.0}),  # never gets there
    ],
)
def test_what_cannot_be_projected_has_no_offset(pile, given):
    found = measured(pile, **given)
    assert found[["plan_offset_mm", "axis_offset_mm"]].isna().all()


def test_the_angle_from_an_upright_axis_is_the_batter_wherever_it_leans():
    assert measured(batter_deg=1.5)["axis_angle_deg"] == pytest.approx(1.5)
    leaning = {"batter_deg": 20.0, "azimuth_deg": 90.0}
    assert measured(leaning, batter_deg=0.0)["axis_angle_deg"] == pytest.approx(20)
    assert np.isnan(measured(leaning, batter_deg=20.0)["axis_angle_deg"])
    same = measured(leaning, batter_deg=20.0, azimuth_deg=90.0)
    assert same["axis_angle_deg"] == pytest.approx(0, abs=1e-9)


def test_without_a_measured_axis_there_is_no_angle():
    assert np.isnan(measured()["axis_angle_deg"])
    assert np.isnan(measured(tilt_east_deg=1.0)["axis_angle_deg"])


def test_the_head_is_the_measured_point_once_it_is_cut():
    assert measured(level_m=5.025)["head_level_difference_mm"] == 25
    assert measured(level_m=5.6, head_level_m=4.97)["head_level_difference_mm"] == -30
    early = measured(survey_stage="after installation", level_m=5.6)
    assert np.isnan(early["head_level_difference_mm"])


def test_a_survey_of_a_pile_that_nobody_knows_has_no_numbers():
    found = survey.with_deviations(surveys({"pile_id": "P9"}), piles())
    assert found[list(survey.MEASURED)].isna().all(axis=None)
