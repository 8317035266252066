"""Steps of the widest gap between readings, in the final window and above it."""

from __future__ import annotations

from itertools import pairwise
from math import isfinite

import pandas as pd

from core.flow.worksheet.known import Known
from core.flow.worksheet.steps import Input, InputValue, Step, assumed, of_reading, word_of

SUBJECT = "lengths"
SOURCE = "from one reading that stands to the next, the ground and the toe included"


def steps(known: Known, toe: InputValue) -> list[Step]:
    """The two depths between which the pile's readings lie furthest apart."""
    depths = _depths(known, toe)
    found = []
    for measure in ("window_gap_mm", "upper_gap_mm"):
        value = known.row[measure]
        if pd.isna(value):
            continue
        for above, below in pairwise(depths):
            if below.value - above.value == value and _inside(known, below) == (
                measure == "window_gap_mm"
            ):
                found.append(_gap(measure, above, below))
                break
    return found


def _gap(measure: str, above: InputValue, below: InputValue) -> Step:
    puts = (
        Input("d₁", "where it begins", above.value, "mm", above.origin, above.source),
        Input("d₂", "where it ends", below.value, "mm", below.origin, below.source),
    )
    value = below.value - above.value
    return Step(SUBJECT, word_of(measure), "g = d₂ − d₁", puts, value, "mm", SOURCE, measure)


def _depths(known: Known, toe: InputValue) -> list[InputValue]:
    """Where readings stand down to the toe, the pre-drilled length or the ground first."""
    profile = known.assessment.measured.profile
    read = profile["standing"] | profile["superseded"]
    mine = profile[profile["pile_id"].eq(known.row["pile_id"]) & read]
    mine = mine[mine["depth_mm"] <= toe.value].sort_values("depth_mm", kind="stable")
    drilled = known.of_runs("predrilled_length_mm", "most")
    top = drilled if isfinite(drilled.value) else assumed(0.0, "the ground")
    return [top, *(of_reading(row, "depth_mm") for _, row in mine.iterrows()), toe]


def _inside(known: Known, below: InputValue) -> bool:
    """Whether a gap that ends there reaches into the final window."""
    row = known.row
    window, tolerance = row[["window_mm", "interval_tolerance_mm"]].fillna(0)
    return bool(below.value > row["toe_mm"] - window + tolerance)
