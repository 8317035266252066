"""Steps of the survey that judges: the axis, the point at cut-off level, the offsets, the head."""

from __future__ import annotations

from dataclasses import replace
from math import isfinite, isnan

import pandas as pd

from core import units
from core.compute import geometry
from core.compute.measures.survey import AT_THE_HEAD
from core.flow.worksheet.known import Known
from core.flow.worksheet.pile import batter_of
from core.flow.worksheet.steps import (
    Input,
    InputValue,
    Step,
    assumed,
    of_row,
    result_of,
    shown_as,
    word_of,
    worked,
)

SUBJECT = "survey"
SIDES = (("east", "easting_m", geometry.axis_east), ("north", "northing_m", geometry.axis_north))
MM = units.factor("m", "mm")


def steps(known: Known) -> list[Step]:
    """Every step of the judging survey that its numbers allow."""
    surveys = known.assessment.measured.surveys
    judging = surveys[surveys["pile_id"].eq(known.row["pile_id"]) & surveys["judges"]]
    if judging.empty:
        return []
    survey = judging.iloc[0]
    axis, batter, azimuth = _axis(known, survey)
    made = [*axis, *_offsets(known, survey, batter, azimuth)]
    return [*made, *_angle(known, batter, azimuth), *_head(known, survey)]


def _axis(known: Known, survey: pd.Series) -> tuple[list[Step], InputValue, InputValue]:
    """The axis as built: as surveyed, or from two tilts, else the design's."""
    if pd.notna(survey["batter_deg"]):
        azimuth = of_row(survey, "azimuth_deg", "survey")
        return [], of_row(survey, "batter_deg", "survey"), azimuth
    if pd.isna(survey["tilt_east_deg"]) or pd.isna(survey["tilt_north_deg"]):
        return [], batter_of(known), known.of_schedule("azimuth_deg")
    east = of_row(survey, "tilt_east_deg", "survey")
    north = of_row(survey, "tilt_north_deg", "survey")
    built = worked(SUBJECT, "Batter as built", geometry.plumb,
                   tilt_one_deg=east, tilt_across_deg=north)  # fmt: skip
    leans = worked(SUBJECT, "Direction of the batter as built", geometry.lean_azimuth,
                   tilt_east_deg=east, tilt_north_deg=north)  # fmt: skip
    return [built, leans], result_of(built), result_of(leans)


def _turned(batter: InputValue, azimuth: InputValue) -> InputValue:
    """The direction of a batter; an upright axis needs none."""
    none = isnan(azimuth.value) and batter.value == 0
    return assumed(0.0, "an upright axis has no direction") if none else azimuth


def _offsets(
    known: Known, survey: pd.Series, batter: InputValue, azimuth: InputValue
) -> list[Step]:
    """Offsets at cut-off level in the two directions and in all."""
    if pd.isna(survey["plan_offset_mm"]):
        return []
    level, cutoff = of_row(survey, "level_m", "survey"), known.of_schedule("cutoff_level_m")
    if level.value == cutoff.value:
        batter = azimuth = assumed(0.0, "the point is at cut-off level and stays where it is")
    made, offsets = [], []
    for word, name, direction in SIDES:
        share = worked(SUBJECT, f"{word.capitalize()}ward part of the axis", direction,
                       batter_deg=batter, azimuth_deg=_turned(batter, azimuth))  # fmt: skip
        point = worked(SUBJECT, f"{word.capitalize()}ing at cut-off level", geometry.projected,
                       coordinate_m=of_row(survey, name, "survey"), level_m=level,
                       target_level_m=cutoff, batter_deg=batter, axis_share=result_of(share),
                       )  # fmt: skip
        offset = _offset(known, word, name, point)
        made += [share, point, offset]
        offsets.append(result_of(offset))
    whole = worked(SUBJECT, word_of("plan_offset_mm"), geometry.plan_offset,
                   offset_east_mm=offsets[0], offset_north_mm=offsets[1])  # fmt: skip
    return [*made, shown_as(whole, "plan_offset_mm")]


def _offset(known: Known, word: str, name: str, point: Step) -> Step:
    """The point less where it should be, in mm."""
    instructed = f"instructed_{name}"
    asked = known.of_schedule(name)
    if pd.notna(known.row[instructed]):
        asked = InputValue(
            float(known.row[instructed]), source=f"instruction {known.row['instruction']}"
        )
    puts = (
        Input("x", f"{name.removesuffix('_m')} at cut-off level", point.value, "m",
            source=result_of(point).source),
        Input("X", f"{name.removesuffix('_m')} asked for", asked.value, "m", asked.origin,
            asked.source),
    )  # fmt: skip
    measure = f"offset_{word}_mm"
    value = (point.value - asked.value) * MM
    return Step(SUBJECT, word_of(measure), "o = x − X", puts, value, "mm",
                "difference of coordinates", measure, "1 m = 1,000 mm")  # fmt: skip


def _angle(known: Known, batter: InputValue, azimuth: InputValue) -> list[Step]:
    """The angle between the axis as built and the design's."""
    if pd.isna(known.row["axis_angle_deg"]):
        return []
    design, direction = batter_of(known), known.of_schedule("azimuth_deg")
    upright = batter.value == 0 or design.value == 0
    none = assumed(0.0, "beside an upright axis a direction does not matter")
    step = worked(
        SUBJECT, word_of("axis_angle_deg"), geometry.angle_between,
        batter_deg=batter, azimuth_deg=none if upright else azimuth,
        other_batter_deg=design, other_azimuth_deg=none if upright else direction,
    )  # fmt: skip
    return [shown_as(step, "axis_angle_deg")]


def _head(known: Known, survey: pd.Series) -> list[Step]:
    """The head above cut-off level."""
    if pd.isna(known.row["head_level_difference_mm"]):
        return []
    level = of_row(survey, "head_level_m", "survey")
    if not isfinite(level.value) and survey["survey_stage"] in AT_THE_HEAD:
        level = of_row(survey, "level_m", "survey")
    step = worked(SUBJECT, word_of("head_level_difference_mm"), geometry.head_difference,
                  level_m=level, target_level_m=known.of_schedule("cutoff_level_m"))  # fmt: skip
    done = shown_as(step, "head_level_difference_mm", MM, "mm")
    return [replace(done, note="1 m = 1,000 mm")]
