"""Which rows of the ledger each finding rests on."""

from __future__ import annotations

import pandas as pd

from core.flow.facts import Facts
from core.flow.measuring import Measured

PLACE = ["entry_no", "sheet", "row_no"]
ROW = ["record", *PLACE]


def rows_of_findings(found: pd.DataFrame, numbers: Measured, known: Facts) -> pd.DataFrame:
    """One row per finding and ledger row: finding (its index), subject, kind, record, row."""
    measures = _rows_of_measures(numbers.profile, numbers.runs, known)
    named = found.reset_index(names="finding")
    cited = named[["finding", "subject_kind", "subject", "kind", "measure"]]
    joined = cited.merge(measures, on=["subject_kind", "subject", "measure"])
    return joined[["finding", "subject", "kind", *ROW]]


def _rows_of_measures(profile: pd.DataFrame, runs: pd.DataFrame, known: Facts) -> pd.DataFrame:
    """One row per subject, measure and ledger row; subjects of one number differ by their kind."""
    positions = pd.concat([known.piles[["pile_id", "position_id"]], _own(runs, known.piles)])
    schedule = known.schedule[["position_id", *PLACE]]
    of_pile = positions.merge(schedule, on="position_id")
    of_position = schedule.rename(columns={"position_id": "pile_id"})
    late = profile[~profile["in_force"]]
    measured = profile[profile["torque_nm"].notna()]
    greatest = measured.loc[measured.groupby("pile_id")["torque_nm"].idxmax()]
    above = profile[profile["range"].eq("above")]
    parts = [
        _cited(profile[profile["in_window"]], "torque_reading", ["final_torque_nm"]),
        _cited(pd.concat([greatest, above]), "torque_reading", ["greatest_torque_nm"]),
        _cited(late, "torque_reading", ["readings_out_of_force"]),
        _cited(_by_instrument(late), "torque_reading", ["readings_out_of_force"], "instrument"),
        _cited(known.readings_without_run, "torque_reading", ["lost"]),
        _cited(
            runs,
            "run",
            ["toe_mm", "stop_reason", "embedment_mm", "disturbed_toe_mm", "stop_from_mm"],
        ),
        _cited(
            of_pile,
            "schedule",
            ["schedule", "required_torque_nm", "torque_factor_per_m", "embedment_mm"],
        ),
        _cited(of_position, "schedule", ["schedule"], "position"),
        _cited(runs, "run", ["schedule"]),
        _cited(known.sign_offs.rename(columns={"subject": "pile_id"}), "sign_off", ["sign_off"]),
    ]
    return pd.concat(parts, ignore_index=True).drop_duplicates()


def _own(runs: pd.DataFrame, piles: pd.DataFrame) -> pd.DataFrame:
    own = runs.loc[~runs["pile_id"].isin(piles["pile_id"]), ["pile_id"]].drop_duplicates()
    return own.assign(position_id=own["pile_id"])


def _by_instrument(readings: pd.DataFrame) -> pd.DataFrame:
    named = readings[["instrument_id", *PLACE]]
    return named.rename(columns={"instrument_id": "pile_id"})


def _cited(
    rows: pd.DataFrame, record: str, measures: list[str], subject_kind: str = "pile"
) -> pd.DataFrame:
    frame = rows[["pile_id", *PLACE]].rename(columns={"pile_id": "subject"})
    frame = frame.assign(record=record, subject_kind=subject_kind)
    return frame.merge(pd.DataFrame({"measure": measures}), how="cross")
