"""Gaps in the records of every subject: a cell less makes no number known, but by a fallback."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.records import KIND
from core.records.current_rows import CurrentRows
from core.subjects.tables import measure
from tests.subjects.every_table import SUBJECTS, kinds, of_kind, tables_in, with_rows

Cell = tuple[str, str, int]  # kind of row, column, row

# Record kinds by what the inputs call their rows; those called after their kind are left out.
RECORD = {
    "readings": "torque_reading", "runs": "run", "points": "calibration_point",
    "certificates": "calibration", "placements": "grout_placement", "batches": "grout_batch",
    "specimens": "grout_specimen", "members": "sample_group_member", "surveys": "survey",
    "pile_records": "pile", "boreholes": "borehole", "layers": "borehole_layer",
}  # fmt: skip
# Rows that are no records: columns of piles that the schedule or settings may leave empty.
OF_PILES = (
    "easting_m", "northing_m", "ground_level_m", "cutoff_level_m", "batter_deg", "azimuth_deg",
    "schedule_grouted_length_mm", "type_grouted_length_mm", "disc_mm", "grout_from",
    "outside_diameter_mm",
    "wall_mm", "window_mm", "toe_reading_mm", "interval_mm", "gap_tolerance_mm", "pitch_mm",
    "top_helix_above_toe_mm", "shaft_kn", "coupling_kn", "helix_plates_kn",
    "resistance_kn", "strength_age_days",
)  # fmt: skip
# Measures that a gap in a column may make known, and what they fall back on.
OF_WINDOW = {
    "final_torque_nm", "last_torque_nm", "torque_without_peak_nm", "final_torque_lower_bound_nm",
    "last_torque_lower_bound_nm", "torque_without_peak_lower_bound_nm", "final_uncertainty_nm",
    "last_uncertainty_nm", "without_peak_uncertainty_nm", "drop_share", "advance_share",
    "window_gap_mm", "upper_gap_mm",
}  # fmt: skip
IN_BOREHOLE = {"cylindrical_shear_n", "lesser_bearing_kn", "overburden_kpa", "effective_kpa"}
BY_POINTS = {"ceiling_torque_nm"}
FALLBACKS = {
    ("torque", "toe_mm"): (OF_WINDOW, "the toe of the last run that records one"),
    ("torque", "point_pressure_kpa"): (BY_POINTS, "the first point that a curve has"),
    ("torque", "point_torque_nm"): (BY_POINTS, "the first point that a curve has"),
    ("piles", "scour_level_m"): ({"embedment_mm"}, "no level lies below the ground"),
    ("piles", "finished_grade_level_m"): ({"embedment_mm"}, "no level lies below the ground"),
    ("survey", "batter_deg"): ({"axis_angle_deg"}, "upright: the schedule gives no batter"),
    ("bearing", "easting_m"): (IN_BOREHOLE, "the nearest borehole of which the place is known"),
    ("bearing", "northing_m"): (IN_BOREHOLE, "the nearest borehole of which the place is known"),
}


def optional(kind: str, rows: CurrentRows) -> list[str]:
    """Columns that a row may lack."""
    record = RECORD.get(kind, kind)
    if record not in KIND:
        return [name for name in rows.names if kind == "piles" and name in OF_PILES]
    declared = KIND[record]
    return [
        column.name
        for column in declared.columns
        if column.name in rows.names
        and not column.required
        and column.default is None
        and column.name not in declared.key
    ]


@cache
def job(subject: str) -> tuple[Any, list[Cell]]:
    """The inputs of a subject's small job, and the cells that may be empty and are not."""
    inputs = SUBJECTS[subject][0]()
    return inputs, [
        (kind, name, int(row))
        for kind in kinds(inputs)
        for name in optional(kind.rpartition(".")[2], of_kind(inputs, kind))
        for row in np.flatnonzero(of_kind(inputs, kind).has(name))
    ]


def blanked(inputs: Any, cells: set[Cell]) -> Any:
    """``inputs`` with nothing in some cells."""
    for kind in sorted({kind for kind, _, _ in cells}):
        frame = of_kind(inputs, kind).frame().copy()
        for _, name, row in (cell for cell in cells if cell[0] == kind):
            frame.loc[row, name] = np.nan if frame[name].dtype.kind == "f" else None
        inputs = with_rows(inputs, kind, CurrentRows.of_frame(frame))
    return inputs


def numbers(subject: str, inputs: Any) -> dict[str, np.ndarray]:
    """Every measure of every table, by table and name."""
    found = {}
    for table in tables_in(SUBJECTS[subject][1](inputs, False)):
        for name, declared in table.declared.items():
            if isinstance(declared, measure):
                found[f"{type(table).__name__}.{name}"] = getattr(table, name).values
    return found


def made_known(before: dict[str, np.ndarray], after: dict[str, np.ndarray]) -> set[str]:
    """Names of measures that are known after in a row in which they were unknown before.

    Of a table that has other rows after, such as gaps between lifts, nothing is said.
    """
    same = [name for name, values in before.items() if len(values) == len(after[name])]
    known = [name for name in same if np.any(np.isnan(before[name]) & ~np.isnan(after[name]))]
    return {name.partition(".")[2] for name in known}


@pytest.mark.parametrize("subject", SUBJECTS)
def test_a_cell_less_makes_no_number_known(subject):
    inputs, cells = job(subject)

    @settings(max_examples=50, deadline=None)
    @given(st.sets(st.sampled_from(cells), max_size=4), st.sampled_from(cells))
    def holds(lost, more):
        before = numbers(subject, blanked(inputs, lost))
        after = numbers(subject, blanked(inputs, lost | {more}))
        fallen_back, _ = FALLBACKS.get((subject, more[1]), (set(), ""))
        assert made_known(before, after) <= fallen_back

    holds()


@pytest.mark.parametrize("subject", SUBJECTS)
def test_without_what_may_be_empty_most_numbers_are_unknown(subject):
    inputs, cells = job(subject)
    whole, found = numbers(subject, inputs), numbers(subject, blanked(inputs, set(cells)))
    known = [name for name, values in whole.items() if len(values) and not np.isnan(values).all()]
    lost = [name for name in known if np.isnan(found[name]).all()]
    assert len(lost) > len(known) / 3


def test_a_number_that_a_gap_makes_known_is_seen():
    none, one, two = np.array([np.nan, 1.0]), np.array([2.0, 1.0]), np.array([1.0])
    assert made_known({"A.x_mm": none, "A.y_mm": one}, {"A.x_mm": one, "A.y_mm": none}) == {"x_mm"}
    assert made_known({"A.x_mm": none}, {"A.x_mm": two}) == set()
