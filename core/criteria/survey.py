# mypy: disable-error-code="no-any-return,arg-type,unused-ignore"
"""Criteria of the as-built survey: whether there is one, place, axis and head, what covers it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Annotated, Literal

import numpy as np
import pandas as pd
from pydantic import Field

from core.criteria.as_frames import Cases, Outcome, at_least, at_most, other_findings, outcome
from core.criteria.base import Criterion, Positive
from core.criteria.cases import PileCriterion
from core.criteria.columns import Columns, Days
from core.criteria.kinds import FindingKind, finding, makes

_OF_COVERING = ("survey_recorded", "survey_reviewed")
_NO_SURVEY = "no survey at a stage that the project names"


class SurveyRecorded(Criterion):
    """At which stages a survey counts; the last of them is judged."""

    stages: Annotated[
        tuple[Literal["after installation", "after cut-off", "before concrete", "re-survey"], ...],
        Field(min_length=1),
    ] = Field(examples=[("after installation", "after cut-off", "before concrete", "re-survey")])

    @finding(
        "survey_recorded",
        "survey recorded",
        "An as-built survey of the pile at the stage that the project names.",
        blocks="ACH",
        owner="SUR",
        clears="the survey of the pile",
        measure="survey",
    )
    @staticmethod
    def survey_recorded(cases: Cases) -> Outcome:
        """A survey stands at one of the stages that the project names."""
        stage = cases["survey_stage"]
        result = pd.DataFrame({"measured": np.nan, "limit_value": np.nan}, index=cases.index)
        result["result"] = stage.notna().map({True: "met", False: "no evidence"})
        day = cases["surveyed_on"].dt.strftime("%Y-%m-%d")
        result["note"] = (stage + " on " + day).where(stage.notna(), _NO_SURVEY)
        result["part"] = stage
        return result


class SurveyReviewed(Criterion):
    """The survey is reviewed, with name and day, before concrete covers the head."""

    usual_due = "surveyed"

    @finding(
        "survey_reviewed",
        "survey reviewed",
        "The survey is reviewed, with name and day, before concrete covers the head.",
        blocks="ACH",
        owner="DES",
        clears="the review recorded; over a covered head, the engineer's decision",
        measure="survey_review",
        since=2,
    )
    @staticmethod
    def survey_reviewed(cases: Cases) -> Outcome:
        """Somebody reviewed the survey that judges, and the one that concrete was placed on before.

        A review counts with its name and its day. Concrete over a head whose last survey was
        reviewed later, or not at all, is *not met*, and a later review does not change that.
        """
        over = cases["covered_on"].notna()
        judging, covering = _review(cases, ""), _review(cases, "covered_")
        in_time = cases["covered_reviewed_on"] <= cases["covered_on"]
        met = judging["whole"].mask(over, covering["whole"] & in_time)
        result = pd.DataFrame({"measured": np.nan, "limit_value": np.nan}, index=cases.index)
        result["result"] = np.where(met, "met", np.where(over, "not met", "no evidence"))
        poured = "concreted over on " + cases["covered_on"].dt.strftime("%Y-%m-%d") + ", "
        result["note"] = judging["note"].mask(over, poured + covering["note"])
        result["part"] = cases["survey_stage"].mask(over, cases["covered_survey_stage"])
        return result


def _review(cases: Cases, which: str) -> pd.DataFrame:
    """Whether the survey that the columns ``which…`` describe is reviewed (whole), and a note."""
    stage, day = cases[f"{which}survey_stage"], cases[f"{which}reviewed_on"]
    person = cases[f"{which}reviewed_by"]
    taken = cases[f"{which}surveyed_on"].dt.strftime("%Y-%m-%d")
    survey = "survey " + stage.astype("str") + " of " + taken
    note = survey + " reviewed by " + person.astype("str") + " on " + day.dt.strftime("%Y-%m-%d")
    note = note.mask(person.isna(), survey + ": the reviewer is not recorded")
    note = note.mask(day.isna(), survey + ": the day of the review is not recorded")
    note = note.mask(day.isna() & person.isna(), survey + ": no review recorded")
    none = "no survey before" if which else _NO_SURVEY
    return pd.DataFrame(
        {"whole": day.notna() & person.notna(), "note": note.mask(stage.isna(), none)}
    )


class PlanOffset(Criterion):
    """Maximum offset in plan at cut-off level, radial or along each axis of the grid."""

    usual_due = "surveyed"

    greatest_mm: Positive = Field(description="maximum offset", examples=["75 mm", "3 in"])
    measured: Literal["radial", "per axis"]

    @finding(
        "plan_offset",
        "offset in plan",
        "As-built place at cut-off level against the design or instructed place.",
        blocks="AC",
        owner="DES",
        clears="a check of the cap or a concession",
        measure="plan_offset_mm",
        sense="at most",
        unit_column="plan_offset_mm",
    )
    @staticmethod
    def plan_offset(cases: Cases) -> Outcome:
        """Offset at cut-off level, radial or the greater of the two axes, as the criterion says."""
        radial = cases["measured"].eq("radial")
        measured = cases["plan_offset_mm"].where(radial, cases["axis_offset_mm"])
        limit = cases["greatest_mm"].astype(float)
        result = outcome(cases, at_most(measured, limit), measured, limit, cases["measured"])
        missing = measured.isna()
        result.loc[missing, "note"] = "the design has no place or its anchor no axis"
        turned = cases["built_batter_deg"].notna()
        result.loc[missing & turned, "note"] = (
            "the as-built batter has no direction to project along"
        )
        result.loc[cases["survey_level_m"].isna(), "note"] = "the survey gives no level"
        result.loc[cases["cutoff_level_m"].isna(), "note"] = "the schedule gives no cut-off level"
        result.loc[cases["survey_stage"].isna(), "note"] = _NO_SURVEY
        result["part"] = cases["survey_stage"]
        return result


class AxisAngle(Criterion):
    """Maximum angle between the as-built and the design axis."""

    usual_due = "surveyed"

    greatest_deg: Positive = Field(description="maximum angle", examples=["2 deg"])

    @finding(
        "axis_angle",
        "angle of the axis",
        "Angle between the as-built axis and the design axis.",
        blocks="AC",
        owner="DES",
        clears="a check of the pile for the angle or a concession",
        measure="axis_angle_deg",
        sense="at most",
        unit_column="axis_angle_deg",
    )
    @staticmethod
    def axis_angle(cases: Cases) -> Outcome:
        """Angle between the axis as built and the axis of the design."""
        measured, limit = cases["axis_angle_deg"], cases["greatest_deg"].astype(float)
        result = outcome(cases, at_most(measured, limit), measured, limit)
        result.loc[measured.isna(), "note"] = (
            "the schedule or the survey gives a batter no direction"
        )
        result.loc[cases["built_batter_deg"].isna(), "note"] = "the axis was not measured"
        result.loc[cases["survey_stage"].isna(), "note"] = _NO_SURVEY
        result["part"] = cases["survey_stage"]
        return result


class HeadLevel(Criterion):
    """How far the head may lie above and below cut-off level."""

    usual_due = "cut off"

    greatest_above_mm: float = Field(ge=0, description="maximum above", examples=["25 mm", "1 in"])
    greatest_below_mm: float = Field(ge=0, description="maximum below", examples=["50 mm", "2 in"])

    @finding(
        "head_level",
        "head level",
        "As-built level of the head against cut-off level.",
        blocks="C",
        owner="FM",
        clears="the head cut or extended, and surveyed again",
        measure="head_level_difference_mm",
        sense="at most",
        unit_column="head_level_difference_mm",
    )
    @staticmethod
    def head_level(cases: Cases) -> Outcome:
        """Head above or below cut-off level, each against its own limit."""
        measured = cases["head_level_difference_mm"]
        above, known = measured.ge(0), measured.notna()
        limit = cases["greatest_above_mm"].where(above, -cases["greatest_below_mm"]).astype(float)
        limit = limit.where(known)
        met = at_most(measured, limit).where(above, at_least(measured, limit))
        result = outcome(cases, met, measured, limit)
        result["sense"] = above.map({True: "at most", False: "at least"}).where(known, "")
        result.loc[measured.isna(), "note"] = "the level of the cut head is not surveyed"
        result.loc[cases["cutoff_level_m"].isna(), "note"] = "the schedule gives no cut-off level"
        result.loc[cases["survey_stage"].isna(), "note"] = _NO_SURVEY
        result["part"] = cases["survey_stage"]
        return result


def due_when_covered(
    criterion: PileCriterion, covered_on: Days, on: np.datetime64
) -> PileCriterion:
    """``criterion`` *survey reviewed*, due on the day of covering where that comes first."""
    covered = np.where(criterion.is_set, covered_on, np.datetime64("NaT", "us"))
    due_on = np.fmin(criterion.due_on, covered)
    return replace(criterion, due_on=due_on, is_due=due_on <= on)


COVERED_WITHOUT_SURVEY = FindingKind(
    "covered_without_survey",
    "covered without survey",
    "Concrete stands over a head that nobody surveyed before.",
    "AH",
    "DES",
    "other evidence of place and level, agreed by the engineer",
)


@makes(COVERED_WITHOUT_SURVEY, of=("covered", "surveys", "piles", "criteria"))
def covered_findings(
    over: pd.DataFrame,
    surveys: pd.DataFrame,
    piles: Columns,
    criteria: Mapping[str, PileCriterion],
) -> pd.DataFrame:
    """Piles concreted over with no survey on or before that day, where the type asks for one.

    Each is due since the day of covering, so its age counts from then. Where the type asks for a
    review, *survey reviewed* includes it.
    ``over``: stage records of covered heads; ``surveys``: every survey; ``criteria``: by name,
    pile by pile beside ``piles``.
    """
    recorded, reviewed = (criteria[name].is_set for name in _OF_COVERING)
    asked = piles.text("pile_id")[recorded & ~reviewed]
    over = over[over["pile_id"].isin(asked)]
    first = surveys.groupby("pile_id")["surveyed_on"].min()
    surveyed = first.reindex(over["pile_id"]).set_axis(over.index)
    bare = surveyed.isna() | (surveyed > over["stage_on"])
    over, surveyed = over[bare], surveyed[bare]
    late = ("first surveyed on " + surveyed.dt.strftime("%Y-%m-%d")).fillna("never surveyed")
    note = "concreted over on " + over["stage_on"].dt.strftime("%Y-%m-%d") + ", " + late
    kind, result = COVERED_WITHOUT_SURVEY, "no evidence"
    found = other_findings(over["pile_id"], kind, result, note, "covered")
    return found.assign(due_on=over["stage_on"])
