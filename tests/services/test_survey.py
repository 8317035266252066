"""As-built surveys from CSV text to states: which survey judges, and what it says of each pile."""

import json

import pytest

from core import services
from tests.services.small import log, small_project, state, take_in
from tests.services.survey_job import settings, survey_project, surveyed

GOOD = "101,after cut-off,2026-03-05,100.030,200.040,5.010,,0,0"


def found(assessment, pile="101"):
    """Findings of the survey of one pile, by kind."""
    rows = assessment.findings[assessment.findings["subject"].eq(pile)]
    return rows.set_index("kind")


def numbers(assessment, pile="101"):
    return assessment.piles.set_index("pile_id").loc[pile]


def test_a_lead_in_the_ground_without_survey_is_not_blamed(tmp_path):
    begun = log(torques=[1.0, 2.0]).replace("0.6,torque and depth reached", ",")
    folder = small_project(tmp_path, begun)
    (folder / "project.toml").write_text(settings(), encoding="utf-8")
    assessment = services.assess(folder)
    assert state(assessment) == "in progress"
    assert found(assessment).loc["survey recorded", "result"] == "not yet due"
    assert found(assessment).loc["offset in plan", "result"] == "not yet due"


def test_a_survey_falls_due_its_days_after_the_installation_and_not_before(tmp_path):
    waiting = services.assess(
        survey_project(tmp_path / "a", day="2026-03-25")
    )  # judged on the 31st
    assert state(waiting) == "in progress"
    assert found(waiting).loc["survey recorded", "result"] == "not yet due"
    due = services.assess(survey_project(tmp_path / "b", day="2026-03-24"))
    assert state(due) == "record incomplete"
    assert found(due).loc["survey recorded", "result"] == "no evidence"
    assert found(due).loc["offset in plan", "result"] == "not yet due"


def test_a_surveyed_pile_meets_its_criteria_with_its_numbers(tmp_path):
    assessment = services.assess(survey_project(tmp_path, GOOD))
    assert state(assessment) == "criteria met"
    pile = numbers(assessment)
    assert pile["offset_east_mm"] == 30
    assert pile["offset_north_mm"] == 40
    assert pile["plan_offset_mm"] == 50
    assert pile["axis_angle_deg"] == 0
    assert pile["head_level_difference_mm"] == 10  # the point measured after cut-off is the head
    assert pile["stage"] == "surveyed"


def test_600_mm_up_a_batter_of_one_in_four_is_no_offset(tmp_path):
    # Hand calculation: 0.6 m over cut-off level a 1:4 axis stands 0.6 / 4 = 0.150 m to the west
    # of its place there; unprojected it is twice the limit of 75 mm.
    row = "102,after cut-off,2026-03-05,102.850,200.000,5.600,5.000,,"
    assessment = services.assess(survey_project(tmp_path, row))
    assert numbers(assessment, "102")["plan_offset_mm"] == pytest.approx(0, abs=1e-3)
    results = found(assessment, "102")["result"]
    assert results["offset in plan"] == "met"
    assert results["angle of the axis"] == "no evidence"
    assert found(assessment, "102").loc["angle of the axis", "note"] == "the axis was not measured"
    assert state(assessment, "102") == "record incomplete"


def test_a_battered_anchor_by_hand(tmp_path):
    # Design: axis down (3, 0, -4) / 5, so cos = 0.8 from vertical. As built: tilts atan 3/4 to the
    # east and atan 1/10 to the north, axis down (0.75, 0.10, -1). The point stands 0.500 m over
    # cut-off: east 499.660 + 0.5 x 0.75 = 500.035, north 799.990 + 0.5 x 0.10 = 800.040;
    # offset sqrt(35^2 + 40^2) = sqrt(2825) = 53.15 mm (unprojected: 340 mm).
    # Angle: a x b = (0.1, 0, 0.075), length 0.125; a . b = 0.5625 + 1 = 1.5625;
    # tan = 0.125 / 1.5625 = 0.08, so 4.574 degrees, over the 2 of the clause.
    # Cover: toe 3.0 m along the axis, helix at the toe: 3.0 x 0.8 = 2.400 m, the minimum allowed.
    row = "103,before concrete,2026-03-06,499.660,799.990,10.500,9.960,36.8698976,5.7105931"
    assessment = services.assess(survey_project(tmp_path, row))
    pile = numbers(assessment, "103")
    assert pile["offset_east_mm"] == pytest.approx(35)
    assert pile["offset_north_mm"] == pytest.approx(40)
    assert pile["plan_offset_mm"] == pytest.approx(53.15, abs=0.005)
    assert pile["axis_angle_deg"] == pytest.approx(4.574, abs=0.0005)
    assert pile["head_level_difference_mm"] == -40
    assert pile["embedment_mm"] == pytest.approx(2400)
    results = found(assessment, "103")["result"]
    assert results["offset in plan"] == "met"
    assert results["angle of the axis"] == "not met"
    assert results["head level"] == "met"
    assert results["embedment"] == "met"
    assert state(assessment, "103") == "engineer review"


def test_the_last_survey_at_a_stage_that_counts_judges(tmp_path):
    rows = (
        "101,after cut-off,2026-03-05,100.200,200.000,5.000,,0,0",
        "101,re-survey,2026-03-20,100.010,200.000,5.000,5.000,0,0",
        "101,after installation,2026-03-25,100.900,200.000,5.600,,0,0",
        "101,before concrete,2026-04-01,100.800,200.000,5.000,,0,0",  # after the judging day
    )
    assessment = services.assess(survey_project(tmp_path, *rows))
    assert numbers(assessment)["plan_offset_mm"] == 10
    assert found(assessment).loc["survey recorded", "note"].startswith("re-survey on 2026-03-20")
    assert state(assessment) == "criteria met"


def test_a_survey_at_another_stage_neither_judges_nor_makes_a_pile_surveyed(tmp_path):
    row = "101,after installation,2026-03-26,100.900,200.000,5.600,,0,0"
    assessment = services.assess(survey_project(tmp_path, row, day="2026-03-25"))
    assert numbers(assessment)["stage"] == "installed"
    assert found(assessment).loc["offset in plan", "result"] == "not yet due"
    assert state(assessment) == "in progress"


def test_a_relocated_pile_is_compared_with_the_instructed_point(tmp_path):
    row = "101R,after cut-off,2026-03-05,100.530,200.040,5.000,,0,0"
    folder = survey_project(tmp_path)
    moved = "Pile,Position served,Instructed easting (m),Instructed northing (m),Instruction no\n"
    files = [("piles.csv", moved + "101R,101,100.5,200.0,SI-7\n"), ("log_r.csv", log("101R"))]
    take_in(folder, *files, surveyed(row))
    assessment = services.assess(folder)
    assert numbers(assessment, "101R")["plan_offset_mm"] == 50
    rows = assessment.evidence("101R")
    cited = rows[rows["kind"].eq("offset in plan")]
    assert set(cited["file"]) == {"piles.csv", "schedule.csv", "surveys.csv"}


COVERED = "Pile,Stage,Date,Reference\n101,concreted over,{day},pour card 4\n"


@pytest.mark.parametrize(("day", "bare"), [("2026-03-04", True), ("2026-03-05", False)])
def test_concrete_over_a_head_that_nobody_surveyed_before_is_found(tmp_path, day, bare):
    folder = survey_project(tmp_path, GOOD)
    take_in(folder, ("stages.csv", COVERED.format(day=day)))
    assessment = services.assess(folder)
    results = found(assessment)["result"]
    assert ("covered without survey" in results.index) == bare
    assert state(assessment) == ("record incomplete" if bare else "criteria met")
    if bare:
        assert results["covered without survey"] == "no evidence"
        rows = assessment.evidence("101")
        cited = rows[rows["kind"].eq("covered without survey")]
        assert set(cited["file"]) == {"stages.csv", "surveys.csv"}


def test_a_type_that_asks_for_no_survey_may_be_covered(tmp_path):
    folder = small_project(tmp_path, log())
    take_in(folder, ("stages.csv", COVERED.format(day="2026-03-04")))
    assessment = services.assess(folder)
    assert "covered without survey" not in found(assessment).index
    assert found(assessment).loc["survey recorded", "result"] == "not required"
    assert state(assessment) == "criteria met"


def test_a_pile_covered_without_any_survey_lacks_all_its_evidence(tmp_path):
    folder = survey_project(tmp_path, day="2026-03-02")
    take_in(folder, ("stages.csv", COVERED.format(day="2026-03-10")))
    lacking = found(services.assess(folder))
    lacking = lacking[lacking["result"].eq("no evidence")]
    assert set(lacking.index) == {
        "survey recorded", "offset in plan", "angle of the axis", "head level",
        "covered without survey",
    }  # fmt: skip
    assert lacking.loc["covered without survey", "note"].endswith("never surveyed")


def test_every_finding_of_the_survey_leads_to_file_and_row(tmp_path):
    assessment = services.assess(survey_project(tmp_path, GOOD))
    rows = assessment.evidence("101").groupby("kind")["file"].agg(set)
    assert rows["survey recorded"] == {"surveys.csv"}
    for kind in ("offset in plan", "angle of the axis", "head level"):
        assert rows[kind] == {"surveys.csv", "schedule.csv"}
    missing = assessment.evidence("102").groupby("kind")["file"].agg(set)
    assert missing["survey recorded"] == {"log_102.csv"}


def test_the_numbers_of_the_survey_stand_in_json_with_their_units(tmp_path):
    told = services.assessment_object(services.assess(survey_project(tmp_path, GOOD)))
    json.dumps(told, allow_nan=False)
    measures = told["piles"][0]["measures"]
    assert measures["plan_offset_mm"] == {"value": 50.0, "unit": "mm"}
    assert measures["axis_angle_deg"] == {"value": 0.0, "unit": "°"}
    assert told["piles"][1]["measures"]["plan_offset_mm"]["value"] is None
