"""Steps of a pile's lengths: the toe, what the ground's level takes away, and the embedment."""

from __future__ import annotations

from dataclasses import replace
from math import isfinite

import pandas as pd

from core import units
from core.compute import geometry
from core.compute import piles as formulas
from core.flow.worksheet.known import Known
from core.flow.worksheet.steps import (
    Input,
    InputValue,
    Step,
    assumed,
    recorded,
    result_of,
    shown_as,
    word_of,
    worked,
)

SUBJECT = "lengths"


def steps(known: Known) -> list[Step]:
    """The toe, the length in the ground and the embedment."""
    if pd.isna(known.row["toe_mm"]):
        return []
    toe = known.of_runs("toe_mm", "last")
    made = [recorded(SUBJECT, "toe_mm", toe, "mm", "the toe of the last run that records one")]
    inside = recorded(
        SUBJECT, "installed_mm", result_of(made[0]), "mm", "the toe's depth, along it"
    )
    return [*made, inside, *_embedment(known, made[0])]


def _embedment(known: Known, toe: Step) -> list[Step]:
    """The embedment by the project's measure."""
    row = known.row
    if pd.isna(row["embedment_mm"]):
        return []
    if row["embedment_measure"] == "beyond a failure surface":
        return [_beyond_surface(known, result_of(toe))]
    batter = batter_of(known)
    made = _lost_height(known)
    lost = result_of(made[-1]) if made else assumed(0.0, "no level lies below the ground")
    along = worked(
        SUBJECT,
        "Embedment along the axis",
        formulas.embedment_along_axis,
        toe_mm=known.of_runs("toe_mm", "last"),
        lost_height_mm=replace(lost, value=lost.value * _factor(made)),
        predrilled_mm=_predrilled(known),
        batter_deg=batter if lost.value else assumed(0.0, "no height is lost"),
    )
    if row["embedment_measure"] == "along the axis":
        return [*made, shown_as(replace(along, title=word_of("embedment_mm")), "embedment_mm")]
    cover = worked(
        SUBJECT,
        word_of("embedment_mm"),
        formulas.cover_over_helix,
        embedment_mm=result_of(along),
        helix_above_toe_mm=known.of_type("top_helix_above_toe_mm"),
        batter_deg=batter,
    )
    return [*made, along, shown_as(cover, "embedment_mm")]


def _beyond_surface(known: Known, toe: InputValue) -> Step:
    surface = known.of_schedule("failure_surface_depth_mm")
    puts = (
        Input("D", "depth of the toe", toe.value, "mm", toe.origin, toe.source),
        Input("S", "depth of the failure surface along the axis", surface.value, "mm",
            surface.origin, surface.source),
    )  # fmt: skip
    value = toe.value - surface.value
    return Step(SUBJECT, word_of("embedment_mm"), "E = D − S", puts, value, "mm",
                "difference of lengths along the axis", "embedment_mm")  # fmt: skip


def _factor(made: list[Step]) -> float:
    return units.factor("m", "mm") if made else 1.0


def batter_of(known: Known) -> InputValue:
    """The design batter; a pile for which the schedule gives none is upright."""
    if pd.isna(known.row["batter_deg"]) and known.row["element"] != "helical anchor":
        return assumed(0.0, "upright: the schedule gives no batter")
    return known.of_schedule("batter_deg")


def _predrilled(known: Known) -> InputValue:
    given = known.of_runs("predrilled_length_mm", "most")
    return given if isfinite(given.value) else assumed(0.0, "no pre-drilled length is recorded")


def _lost_height(known: Known) -> list[Step]:
    """The step of the height between the ground at the pile and a lower level, when one is."""
    run = known.runs.tail(1)
    at_run = len(run) > 0 and pd.notna(run["ground_level_m"].item())
    ground = (
        known.of_runs("ground_level_m", "last") if at_run else known.of_schedule("ground_level_m")
    )
    others = [
        known.of_schedule(name)
        for name in ("finished_grade_level_m", "scour_level_m")
        if pd.notna(known.row[name])
    ]
    lower = [one for one in others if one.value < ground.value]
    if not lower:
        return []
    lowest = min(lower, key=lambda one: one.value)
    title = "Height of the ground over the lowest of finished grade and scour level"
    return [worked(SUBJECT, title, geometry.head_difference, level_m=ground, target_level_m=lowest)]
