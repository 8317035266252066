"""Criteria of the as-built survey: whether there is one, place, axis and head, what covers it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Annotated, Literal

import numpy as np
from pydantic import Field

from core.criteria.base import Criterion, Positive
from core.criteria.cases import Cases, PileCriterion
from core.criteria.columns import Array, Columns, Days, Mask
from core.criteria.findings import Findings, no_findings, other_findings
from core.criteria.kinds import FindingKind, finding, makes
from core.criteria.outcomes import (
    SENSE,
    Outcome,
    at_least,
    at_most,
    day_texts,
    outcome,
    recorded,
    without_numbers,
)

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
        responsible="SUR",
        closed_by="the survey of the pile",
        measure="survey",
    )
    @staticmethod
    def survey_recorded(cases: Cases) -> Outcome:
        """A survey stands at one of the stages that the project names."""
        stage, day = cases.text("survey_stage"), cases.day("surveyed_on")
        known = stage != ""
        found = recorded(cases, known, _NO_SURVEY)
        found.put(known, note=lambda at: stage[at] + " on " + day_texts(day[at]), part=stage)
        return found


class SurveyReviewed(Criterion):
    """The survey is reviewed, with name and day, before concrete covers the head."""

    usual_due = "surveyed"

    @finding(
        "survey_reviewed",
        "survey reviewed",
        "The survey is reviewed, with name and day, before concrete covers the head.",
        blocks="ACH",
        responsible="DES",
        closed_by="the review recorded; over a covered head, the engineer's decision",
        measure="survey_review",
        since=2,
    )
    @staticmethod
    def survey_reviewed(cases: Cases) -> Outcome:
        """Somebody reviewed the survey that judges, and the one that concrete was placed on before.

        A review counts with its name and its day. Concrete over a head whose last survey was
        reviewed later, or not at all, is *not met*, and a later review does not change that.
        """
        covered_on = cases.day("covered_on")
        over = ~np.isnat(covered_on)
        in_time = over & (cases.day("covered_reviewed_on") <= covered_on)
        met = np.where(over, _is_reviewed(cases, "covered_") & in_time, _is_reviewed(cases, ""))
        found = without_numbers(cases, "met")
        found.put(~met & over, "not met")
        found.put(~met & ~over, "no evidence")
        found.put(~over, note=lambda at: _review_in_words(cases, "", at),
                  part=cases.text("survey_stage"))  # fmt: skip

        def poured(at: Array) -> list[str]:
            days = day_texts(covered_on[at])
            notes = _review_in_words(cases, "covered_", at)
            return [
                f"concreted over on {day}, {note}" for day, note in zip(days, notes, strict=True)
            ]

        found.put(over, note=poured, part=cases.text("covered_survey_stage"))
        return found


def _is_reviewed(cases: Cases, which: str) -> Mask:
    """Whether the survey that the columns ``which…`` describe has a reviewer and a day."""
    by, on = cases.text(f"{which}reviewed_by"), cases.day(f"{which}reviewed_on")
    whole: Mask = (by != "") & ~np.isnat(on)
    return whole


def _review_in_words(cases: Cases, which: str, at: Array) -> list[str]:
    """The review of the survey that the columns ``which…`` describe, of each pile ``at``."""
    texts = (cases.text(f"{which}{name}")[at] for name in ("survey_stage", "reviewed_by"))
    days = (cases.day(f"{which}{name}")[at] for name in ("surveyed_on", "reviewed_on"))
    notes = []
    for stage, person, taken, day in zip(*texts, *map(day_texts, days), strict=True):
        survey = f"survey {stage} of {taken}"
        if not stage:
            notes.append("no survey before" if which else _NO_SURVEY)
        elif day == "NaT":
            lacks = "the day of the review is not recorded" if person else "no review recorded"
            notes.append(f"{survey}: {lacks}")
        elif not person:
            notes.append(f"{survey}: the reviewer is not recorded")
        else:
            notes.append(f"{survey} reviewed by {person} on {day}")
    return notes


class PlanOffset(Criterion):
    """Maximum offset in plan at cut-off level, radial or along each axis of the grid."""

    usual_due = "surveyed"

    max_mm: Positive = Field(description="maximum offset", examples=["75 mm", "3 in"])
    measured: Literal["radial", "per axis"]

    @finding(
        "plan_offset",
        "offset in plan",
        "As-built place at cut-off level against the design or instructed place.",
        blocks="AC",
        responsible="DES",
        closed_by="a check of the cap or a concession",
        measure="plan_offset_mm",
        sense="at most",
        unit_column="plan_offset_mm",
    )
    @staticmethod
    def plan_offset(cases: Cases) -> Outcome:
        """Offset at cut-off level, radial or the greater of the two axes, as the criterion says."""
        measured = np.where(
            cases.is_text("measured", "radial"), cases["plan_offset_mm"], cases["axis_offset_mm"]
        )
        limit = cases["max_mm"]
        found = outcome(cases, at_most(measured, limit), measured, limit, cases.text("measured"))
        missing = np.isnan(measured)
        turned = missing & ~np.isnan(cases["built_batter_deg"])
        found.put(missing, note="the design has no place or its anchor no axis")
        found.put(turned, note="the as-built batter has no direction to project along")
        found.put(np.isnan(cases["survey_level_m"]), note="the survey gives no level")
        no_level = "the schedule gives no cut-off level"
        found.put(np.isnan(cases["cutoff_level_m"]), note=no_level)
        _put_stage(cases, found)
        return found


def _put_stage(cases: Cases, found: Outcome) -> None:
    """Name the stage of the survey that each finding is about, or that there is none."""
    stage = cases.text("survey_stage")
    found.put(stage != "", part=stage)
    found.put(stage == "", note=_NO_SURVEY)


class AxisAngle(Criterion):
    """Maximum angle between the as-built and the design axis."""

    usual_due = "surveyed"

    max_deg: Positive = Field(description="maximum angle", examples=["2 deg"])

    @finding(
        "axis_angle",
        "angle of the axis",
        "Angle between the as-built axis and the design axis.",
        blocks="AC",
        responsible="DES",
        closed_by="a check of the pile for the angle or a concession",
        measure="axis_angle_deg",
        sense="at most",
        unit_column="axis_angle_deg",
    )
    @staticmethod
    def axis_angle(cases: Cases) -> Outcome:
        """Angle between the axis as built and the axis of the design."""
        measured, limit = cases["axis_angle_deg"], cases["max_deg"]
        found = outcome(cases, at_most(measured, limit), measured, limit)
        note = "the schedule or the survey gives a batter no direction"
        found.put(np.isnan(measured), note=note)
        found.put(np.isnan(cases["built_batter_deg"]), note="the axis was not measured")
        _put_stage(cases, found)
        return found


class HeadLevel(Criterion):
    """How far the head may lie above and below cut-off level."""

    usual_due = "cut off"

    max_above_mm: float = Field(ge=0, description="maximum above", examples=["25 mm", "1 in"])
    max_below_mm: float = Field(ge=0, description="maximum below", examples=["50 mm", "2 in"])

    @finding(
        "head_level",
        "head level",
        "As-built level of the head against cut-off level.",
        blocks="C",
        responsible="FM",
        closed_by="the head cut or extended, and surveyed again",
        measure="head_level_difference_mm",
        sense="at most",
        unit_column="head_level_difference_mm",
    )
    @staticmethod
    def head_level(cases: Cases) -> Outcome:
        """Head above or below cut-off level, each against its own limit."""
        measured = cases["head_level_difference_mm"]
        above, known = measured >= 0, ~np.isnan(measured)
        limit = np.where(above, cases["max_above_mm"], -cases["max_below_mm"])
        limit = np.where(known, limit, np.nan)
        met = np.where(above, at_most(measured, limit), at_least(measured, limit))
        found = outcome(cases, met, measured, limit)
        sense = np.where(above, SENSE["at most"], SENSE["at least"])
        found.sense = np.where(known, sense, SENSE[""]).astype(np.int8)
        found.put(~known, note="the level of the cut head is not surveyed")
        no_level = "the schedule gives no cut-off level"
        found.put(np.isnan(cases["cutoff_level_m"]), note=no_level)
        _put_stage(cases, found)
        return found


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
    "Concrete was placed over a head without a survey before it.",
    "AH",
    "DES",
    "other evidence of place and level, agreed by the engineer",
)


@makes(COVERED_WITHOUT_SURVEY, of=("covered", "surveys", "piles", "criteria"))
def covered_findings(
    over: Columns, surveys: Columns, piles: Columns, criteria: Mapping[str, PileCriterion]
) -> Findings:
    """Piles concreted over with no survey on or before that day, where the type asks for one.

    Each is due since the day of covering, so its age counts from then. Where the type asks for a
    review, *survey reviewed* includes it.
    ``over``: stage records of covered heads; ``surveys``: every survey; ``criteria``: by name,
    pile by pile beside ``piles``.
    """
    recorded_, reviewed = (criteria[name].is_set for name in _OF_COVERING)
    if not len(over) or not (recorded_ & ~reviewed).any():
        return no_findings()
    asked = set(piles.text("pile_id")[recorded_ & ~reviewed].tolist())
    first: dict[str, np.datetime64] = {}
    for pile, day in zip(surveys.text("pile_id").tolist(), surveys.day("surveyed_on"), strict=True):
        if not np.isnat(day) and (pile not in first or day < first[pile]):
            first[pile] = day
    pile_id, covered_on = over.text("pile_id"), over.day("stage_on")
    never = np.datetime64("NaT", "us")
    surveyed = np.array([first.get(pile, never) for pile in pile_id.tolist()], "datetime64[us]")
    bare = np.flatnonzero(
        np.array([pile in asked for pile in pile_id.tolist()], dtype=bool)
        & (np.isnat(surveyed) | (surveyed > covered_on))
    )
    notes = [
        f"concreted over on {day}, "
        + ("never surveyed" if at_last == "NaT" else f"first surveyed on {at_last}")
        for day, at_last in zip(day_texts(covered_on[bare]), day_texts(surveyed[bare]), strict=True)
    ]
    return other_findings(
        pile_id[bare], COVERED_WITHOUT_SURVEY, "no evidence", notes, "covered",
        due_on=covered_on[bare],
    )  # fmt: skip
