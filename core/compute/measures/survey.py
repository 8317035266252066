"""The as-built survey of every pile: place at cut-off level, axis and head against the design."""

from __future__ import annotations

from typing import Any

import pandas as pd

from core import records, units
from core.compute import geometry

# At these stages the head is cut, and the point that is measured is the head.
AT_THE_HEAD = ("after cut-off", "before concrete")
# Metres of a national grid carry noise of a millionth of a millimetre, so that "exactly on the
# limit" needs a last digit.
DIGITS = 3
MEASURED = (
    "offset_east_mm",
    "offset_north_mm",
    "plan_offset_mm",
    "axis_offset_mm",
    "axis_angle_deg",
    "head_level_difference_mm",
)
_REVIEW = ("survey_stage", "surveyed_on", "reviewed_by", "reviewed_on")
_ASKED = {name: f"design_{name}" for name in ("easting_m", "northing_m", "batter_deg",
                                              "azimuth_deg")}  # fmt: skip


def counting_surveys(surveys: pd.DataFrame, piles: pd.DataFrame) -> pd.DataFrame:
    """``surveys`` with ``counts``: whether the type of the pile names the stage of the survey.

    ``piles`` gives survey_stages, a tuple of stages; where it is none every stage counts.
    """
    named = piles[piles["pile_id"].notna()].set_index("pile_id")["survey_stages"]
    stages = named.reindex(surveys["pile_id"])
    counts = [
        not isinstance(asked, tuple) or stage in asked
        for stage, asked in zip(surveys["survey_stage"], stages, strict=True)
    ]
    return surveys.assign(counts=pd.Series(counts, index=surveys.index, dtype="bool"))


def with_judging(surveys: pd.DataFrame) -> pd.DataFrame:
    """``surveys`` with ``judges``: the last that counts of each pile, by day and then by stage."""
    known = with_stage_order(surveys)[surveys["counts"]]
    last = known.sort_values(["surveyed_on", "stage_order"]).groupby("pile_id").tail(1)
    return surveys.assign(judges=surveys.index.isin(last.index))


def with_stage_order(surveys: pd.DataFrame) -> pd.DataFrame:
    """``surveys`` with ``stage_order``, the place of the stage in the life of a pile."""
    order = {word: at for at, word in enumerate(records.SURVEY_STAGES)}
    return surveys.assign(stage_order=surveys["survey_stage"].map(order))


def with_deviations(surveys: pd.DataFrame, piles: pd.DataFrame) -> pd.DataFrame:
    """``surveys`` with the design beside each and the columns of ``MEASURED``.

    ``piles`` gives the point to compare with (easting_m, northing_m), cutoff_level_m, batter_deg,
    azimuth_deg and element.
    """
    design = piles.loc[
        piles["pile_id"].notna(), ["pile_id", *_ASKED, "cutoff_level_m", "element"]
    ].rename(columns=_ASKED)
    frame = surveys.merge(design, on="pile_id", how="left")
    upright = frame["design_batter_deg"].isna() & frame["element"].ne("helical anchor")
    frame["design_batter_deg"] = frame["design_batter_deg"].mask(upright, 0.0)
    frame = frame.assign(**_axes(frame))
    frame = frame.assign(**_offsets(frame))
    head = frame["head_level_m"].fillna(
        frame["level_m"].where(frame["survey_stage"].isin(AT_THE_HEAD))
    )
    return frame.assign(
        axis_angle_deg=_angle(frame), head_level_difference_mm=_mm(head, frame["cutoff_level_m"])
    )


def survey_measures(surveys: pd.DataFrame) -> pd.DataFrame:
    """One row per surveyed pile: the numbers, stage and day of the survey that judges it."""
    judging = surveys[surveys["judges"]]
    columns = ["pile_id", *_REVIEW, "built_batter_deg"]
    return judging[[*columns, "level_m", *MEASURED]].rename(columns={"level_m": "survey_level_m"})


def reviews_at_covering(surveys: pd.DataFrame, covered: pd.DataFrame) -> pd.DataFrame:
    """One row per pile of ``covered`` (pile_id, stage_on): covered_on, and the survey until then.

    ``surveys`` come of ``counting_surveys``. The survey that concrete was placed on is the last
    that counts and was taken on that day or before; its columns begin with ``covered_``, and are
    missing where there is none.
    """
    days = covered[["pile_id", "stage_on"]].rename(columns={"stage_on": "covered_on"})
    pairs = days.merge(with_stage_order(surveys[surveys["counts"]]), on="pile_id")
    pairs = pairs[pairs["surveyed_on"] <= pairs["covered_on"]]
    last = pairs.sort_values(["surveyed_on", "stage_order"]).groupby("pile_id").tail(1)
    named = last[["pile_id", *_REVIEW]].rename(
        columns={name: f"covered_{name}" for name in _REVIEW}
    )
    return days.merge(named, on="pile_id", how="left")


def _axes(frame: pd.DataFrame) -> dict[str, pd.Series]:
    """The axis as built, by batter or by two tilts; an upright one needs no direction."""
    tilts = frame["tilt_east_deg"], frame["tilt_north_deg"]
    batter = frame["batter_deg"].fillna(geometry.plumb(*tilts))
    azimuth = frame["azimuth_deg"].fillna(geometry.lean_azimuth(*tilts))
    return {"built_batter_deg": batter, "built_azimuth_deg": azimuth.mask(batter.eq(0), 0.0)}


def _offsets(frame: pd.DataFrame) -> dict[str, pd.Series]:
    """Offsets at cut-off level: the point goes there along the built axis, else the design's."""
    measured = frame["built_batter_deg"].notna()
    batter = frame["built_batter_deg"].where(measured, frame["design_batter_deg"])
    azimuth = frame["built_azimuth_deg"].where(measured, frame["design_azimuth_deg"])
    level, cutoff = frame["level_m"], frame["cutoff_level_m"]
    upright = batter.eq(0) | level.eq(cutoff)  # a point at cut-off level stays where it is
    batter, azimuth = batter.mask(upright, 0.0), azimuth.mask(upright, 0.0)
    batter = batter.where(batter < 90)
    parts = geometry.axis_east(batter, azimuth), geometry.axis_north(batter, azimuth)
    offset = [
        _mm(geometry.projected(frame[name], level, cutoff, batter, part), frame[f"design_{name}"])
        for name, part in zip(("easting_m", "northing_m"), parts, strict=True)
    ]
    return {
        "offset_east_mm": offset[0],
        "offset_north_mm": offset[1],
        "plan_offset_mm": geometry.plan_offset(*offset).round(DIGITS),
        "axis_offset_mm": pd.concat(offset, axis=1).abs().max(axis=1, skipna=False),
    }


def _angle(frame: pd.DataFrame) -> pd.Series:
    """Angle between the axes; beside an upright axis the other's direction does not matter."""
    batter, asked = frame["built_batter_deg"], frame["design_batter_deg"]
    upright = batter.eq(0) | asked.eq(0)
    angle: pd.Series = geometry.angle_between(
        batter,
        frame["built_azimuth_deg"].mask(upright, 0.0),
        asked,
        frame["design_azimuth_deg"].mask(upright, 0.0),
    )
    return angle


def _mm(built_m: pd.Series, asked_m: pd.Series) -> Any:
    return ((built_m - asked_m) * units.factor("m", "mm")).round(DIGITS)
