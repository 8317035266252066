"""Small records of piles: only what a test says differs from one plain position with its pile."""

from __future__ import annotations

from typing import Any

import pandas as pd

from core import records
from core.records.current_rows import CurrentRows
from core.settings.frames import FACTOR, SAFETY, TYPE, rows_of
from core.subjects.piles.selection import PileRecords, pile_rows

PLACE = {"entry_no": 7, "sheet": "sheet", "row_no": 3}
POSITION = {
    "position_id": "P1",
    "revision": "A",
    "pile_type": "T1",
    "easting_m": 100.0,
    "northing_m": 200.0,
    "ground_class": "sand",
    "design_compression_kn": 100.0,
    "load_basis": "service",
    "load_nature": "sustained",
    "direction": "compression",
    "ground_level_m": 10.0,
}
TYPE_ROW = {
    "pile_type": "T1",
    "element": "helical pile",
    "section": "S",
    "helix_set": "300",
    "grouted": False,
    "top_helix_above_toe_mm": 1000.0,
    "section_rated_torque_nm": 15_000.0,
    "section_rated_document": "sheet 7",
    "shaft_kn": 900.0,
    "coupling_kn": 800.0,
    "helix_plates_kn": 700.0,
    "cross_check_share": 0.05,
    "embedment_measure": "along the axis",
    "reason_status": "set",
}
FACTORS = (
    {"id": "C", "direction": "compression", "ground": "any", "torque_factor_per_m": 20.0,
     "source": "tests in compression"},
    {"id": "T", "direction": "tension", "ground": "sand", "torque_factor_per_m": 15.0,
     "source": "tests in tension"},
)  # fmt: skip
FACTOR_ROW = {"section": "S", "grouted": False, "helix_set": "300"}
SAFETY_ROWS = (
    {"direction": "compression", "nature": "sustained", "value": 2.0, "clause": "invented"},
    {"direction": "tension", "nature": "sustained", "value": 3.0, "clause": "invented"},
    {"direction": "tension", "nature": "wind", "value": 2.0, "clause": "invented"},
)


def of_kind(kind: str, *rows: dict[str, Any]) -> CurrentRows:
    """Typed rows of a record kind, each in a row of its own of one sheet."""
    if not rows:
        return CurrentRows.none(records.KIND[kind])
    frame = records.typed(pd.DataFrame(list(rows)), records.KIND[kind].columns)
    place = {**PLACE, "row_no": range(1, len(frame) + 1)}
    return CurrentRows.of_frame(frame.assign(**place).astype({"sheet": "str"}))


def runs_of(*runs: dict[str, Any]) -> CurrentRows:
    """Runs of pile P1 unless said otherwise, in the order given."""
    base = {"pile_id": "P1", "run_no": "1", "run_on": "2026-03-02", "toe_mm": 6000,
            "stop_reason": "instructed"}  # fmt: skip
    return of_kind("run", *({**base, **run} for run in runs))


def pile_records(
    schedule: list[dict[str, Any]] | None = None,
    piles: list[dict[str, Any]] | None = None,
    runs: list[dict[str, Any]] | None = None,
    stages: list[dict[str, Any]] | None = None,
    types: list[dict[str, Any]] | None = None,
    factors: list[dict[str, Any]] | None = None,
) -> PileRecords:
    """Records of one position with one run unless said otherwise."""
    positions = [{}] if schedule is None else schedule
    position = of_kind("schedule", *({**POSITION, **one} for one in positions))
    factor_rows = FACTORS if factors is None else factors
    return PileRecords(
        schedule=position.with_flag("in_latest", position.has("position_id")),
        piles=of_kind("pile", *(piles or [])),
        runs=runs_of(*([{}] if runs is None else runs)),
        stages=of_kind("stage_record", *(stages or [])),
        types=rows_of([{**TYPE_ROW, **one} for one in ([{}] if types is None else types)], TYPE),
        safety_factors=rows_of(list(SAFETY_ROWS), SAFETY),
        torque_factors=rows_of(
            [{**FACTOR_ROW, "key": f"torque_factors, {one['id']}", **one} for one in factor_rows],
            FACTOR,
        ),
    )


def one_position(**changed: Any) -> CurrentRows:
    """The rows of one position whose columns differ as said; those of its type are known by name.

    Every column of the schedule and of the type that is not named is as in the plain case.
    """
    of_type = {name: value for name, value in changed.items() if name in TYPE}
    own = {name: value for name, value in changed.items() if name not in TYPE}
    return pile_rows(pile_records(schedule=[own], types=[of_type]))
