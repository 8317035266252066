"""Rules of the as-built survey: met, not met, exactly on the limit, evidence missing."""

import numpy as np
import pandas as pd
import pytest

from core.assessment.findings import findings_of_rules
from core.criteria.columns import RowColumns
from core.criteria.kinds import Rule
from core.subjects.registry import kinds_of
from core.subjects.survey import rules
from core.subjects.survey.rules import (
    AxisAngle,
    HeadLevel,
    PlanOffset,
    SurveyRecorded,
    SurveyReviewed,
)
from tests.assessment import one_case

NAN = np.nan
OF_COVERING = (
    "covered_on", "covered_survey_stage", "covered_surveyed_on", "covered_reviewed_by",
    "covered_reviewed_on",
)  # fmt: skip
OF_HEAD = ["max_above_mm", "max_below_mm"]
NO_COVER = (None, None, None, None)
CASE = {
    "survey_stage": "before concrete",
    "surveyed_on": "2026-03-05",
    "reviewed_by": "Ada",
    "reviewed_on": "2026-03-06",
    **dict.fromkeys(OF_COVERING),
    "survey_level_m": 5.0,
    "cutoff_level_m": 5.0,
    "built_batter_deg": 0.5,
    "plan_offset_mm": 50.0,
    "axis_offset_mm": 40.0,
    "axis_angle_deg": 0.5,
    "head_level_difference_mm": 10.0,
    "max_mm": 75.0,
    "measured": "radial",
    "max_deg": 2.0,
    "max_above_mm": 25,
    "max_below_mm": 50,
}
NO_SURVEY = dict.fromkeys(
    ("survey_stage", "plan_offset_mm", "axis_offset_mm", "axis_angle_deg",
     "head_level_difference_mm", "built_batter_deg", "survey_level_m")
) | {"surveyed_on": None, "reviewed_on": None}  # fmt: skip


def decided(rule, **changed):
    return one_case.decided(rule, {**CASE, **changed})


@pytest.mark.parametrize(
    ("rule", "column", "passing", "failing", "limit"),
    [
        (PlanOffset.plan_offset, "plan_offset_mm", 74.9, 75.1, 75),
        (AxisAngle.axis_angle, "axis_angle_deg", 1.9, 2.1, 2),
        (HeadLevel.head_level, "head_level_difference_mm", 24.9, 25.1, 25),
        (HeadLevel.head_level, "head_level_difference_mm", -49.9, -50.1, -50),
    ],
)
def test_rule_passes_fails_and_meets_exactly_on_the_limit(rule, column, passing, failing, limit):
    assert decided(rule, **{column: passing})["result"] == "met"
    assert decided(rule, **{column: failing})["result"] == "not met"
    assert decided(rule, **{column: limit})["result"] == "met"
    assert decided(rule, **{column: NAN})["result"] == "no evidence"


@pytest.mark.parametrize("rule", [kind for kind in kinds_of("survey") if kind.decides])
def test_without_a_survey_there_is_no_evidence(rule):
    found = decided(rule, **NO_SURVEY)
    assert found["result"] == "no evidence"
    assert "no survey" in found["note"]


def test_a_survey_is_recorded_at_its_stage_and_day():
    found = decided(SurveyRecorded.survey_recorded)
    assert (found["result"], found["note"]) == ("met", "before concrete on 2026-03-05")


REVIEWED = {"reviewed_by": "Ada", "reviewed_on": "2026-03-06"}
COVERED = {
    "covered_on": "2026-03-10",
    "covered_survey_stage": "before concrete",
    "covered_surveyed_on": "2026-03-05",
    "covered_reviewed_by": "Ada",
    "covered_reviewed_on": "2026-03-06",
}


def review(**changed):
    found = decided(SurveyReviewed.survey_reviewed, **changed)
    return found["result"], found["note"]


def test_a_survey_is_reviewed_by_somebody_on_some_day():
    assert review() == ("met", "survey before concrete of 2026-03-05 reviewed by Ada on 2026-03-06")
    for missing, note in (
        ({"reviewed_by": None}, "the reviewer is not recorded"),
        ({"reviewed_on": None}, "the day of the review is not recorded"),
        ({"reviewed_by": None, "reviewed_on": None}, "no review recorded"),
    ):
        result, told = review(**missing)
        assert result == "no evidence"
        assert told.endswith(note)


@pytest.mark.parametrize(
    ("day", "result"), [("2026-03-09", "met"), ("2026-03-10", "met"), ("2026-03-11", "not met")]
)
def test_a_head_is_covered_after_the_review_on_its_day_and_before_it(day, result):
    found, note = review(**COVERED | {"covered_reviewed_on": day})
    assert found == result
    assert note.startswith("concreted over on 2026-03-10, survey before concrete of 2026-03-05")


@pytest.mark.parametrize("missing", ["covered_reviewed_by", "covered_reviewed_on"])
def test_a_head_covered_without_the_review_is_not_met_whatever_is_reviewed_later(missing):
    empty = {missing: None}
    assert review(**COVERED | REVIEWED | empty)[0] == "not met"
    none = dict(zip(COVERED, [None, *NO_COVER], strict=True))
    never = review(**COVERED | REVIEWED | none | {"covered_on": COVERED["covered_on"]})
    assert never == ("not met", "concreted over on 2026-03-10, no survey before")


def test_a_review_is_due_on_the_day_of_covering_or_on_its_own_day():
    def due(covered_on, status="set", due_on="2026-03-25"):
        one = one_case.criterion({"criterion_status": status}, due_on=due_on, is_due=False)
        covered = np.array([covered_on], dtype="datetime64[us]")
        found = rules.due_when_covered(one, covered, np.datetime64("2026-03-20", "us"))
        return pd.Timestamp(found.due_on[0]), bool(found.is_due[0])

    assert due(None) == (pd.Timestamp("2026-03-25"), False)
    assert due("2026-03-10") == (pd.Timestamp("2026-03-10"), True)
    assert due("2026-03-10", due_on="NaT") == (pd.Timestamp("2026-03-10"), True)
    assert due("2026-03-10", status="not required")[1] is False
    assert due("2026-03-19", due_on="2026-03-08") == (pd.Timestamp("2026-03-08"), True)


def test_per_axis_takes_the_greater_of_the_two_axes():
    along = {"measured": "per axis", "plan_offset_mm": 99.0}
    assert decided(PlanOffset.plan_offset, **along, axis_offset_mm=75.0)["result"] == "met"
    assert decided(PlanOffset.plan_offset, **along, axis_offset_mm=75.1)["result"] == "not met"
    assert decided(PlanOffset.plan_offset, **along, axis_offset_mm=NAN)["result"] == "no evidence"


@pytest.mark.parametrize(
    ("missing", "told"),
    [
        ({"cutoff_level_m": NAN}, "no cut-off level"),
        ({"survey_level_m": NAN}, "gives no level"),
        ({}, "no direction to project along"),
        ({"built_batter_deg": NAN}, "the design has no place or its anchor no axis"),
    ],
)
def test_a_missing_offset_says_what_it_lacks(missing, told):
    found = decided(PlanOffset.plan_offset, plan_offset_mm=NAN, **missing)
    assert found["result"] == "no evidence"
    assert told in found["note"]


def test_an_axis_that_nobody_measured_is_no_evidence_of_its_angle():
    found = decided(AxisAngle.axis_angle, axis_angle_deg=NAN, built_batter_deg=NAN)
    assert (found["result"], found["note"]) == ("no evidence", "the axis was not measured")


def margin(**changed):
    """The finding of the head's level as the engine gives it."""
    limits = one_case.criterion({"max_above_mm": 25, "max_below_mm": 50})
    measures = {name: value for name, value in CASE.items() if name not in OF_HEAD}
    piles = RowColumns([{**measures, "pile_id": "P1", **changed}])
    rule = Rule(HeadLevel.head_level, HeadLevel.key, HeadLevel.head_level)
    return findings_of_rules((rule,), piles, {rule.criterion: limits}).frame().iloc[0]


def test_a_head_is_held_against_the_limit_of_its_own_side():
    high, low = margin(head_level_difference_mm=10), margin(head_level_difference_mm=-60)
    assert (high["limit_value"], high["sense"], high["margin"]) == (25, "at most", 15)
    assert (low["limit_value"], low["sense"], low["margin"]) == (-50, "at least", -10)
    none = margin(head_level_difference_mm=NAN)
    assert np.isnan(none["limit_value"])
    assert np.isnan(none["margin"])
    assert none["sense"] == ""


def covered(*asked, **changed):
    return covering(*asked, **changed).text("note").tolist()


def covering(stage_on, surveyed_on=None, status="set", review="not required"):
    stages = RowColumns([{"pile_id": "P1", "stage_on": stage_on}])
    surveys = RowColumns([{"pile_id": "P1", "surveyed_on": surveyed_on}] if surveyed_on else [])
    criteria = {
        name: one_case.criterion({"criterion_status": asked})
        for name, asked in (("survey_recorded", status), ("survey_reviewed", review))
    }
    return rules.covered_findings(stages, surveys, RowColumns([{"pile_id": "P1"}]), criteria)


def test_a_head_covered_before_its_first_survey_is_found():
    assert covered("2026-03-10", "2026-03-09") == []
    assert covered("2026-03-10", "2026-03-10") == []
    assert covered("2026-03-10", "2026-03-11") == [
        "concreted over on 2026-03-10, first surveyed on 2026-03-11"
    ]
    assert covered("2026-03-10") == ["concreted over on 2026-03-10, never surveyed"]


def test_a_survey_of_a_covered_head_is_due_since_the_day_of_covering():
    found = covering("2026-03-10", "2026-03-11").values("due_on")
    assert [str(day)[:10] for day in found] == ["2026-03-10"]
    assert len(covering("2026-03-10", "2026-03-09")) == 0


def test_only_concrete_over_piles_that_ask_for_a_survey_is_found():
    assert covered("2026-03-10", status="not required") == []
    assert covered("2026-03-10", status="not set") == []
    assert covered("2026-03-10", review="set") == []  # "survey reviewed" includes it
