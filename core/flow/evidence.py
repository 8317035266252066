"""Which rows of the ledger each finding rests on."""

from __future__ import annotations

import pandas as pd

from core.flow.citing import PLACE, cited
from core.flow.facts import Facts
from core.flow.grout_evidence import rows_of_grout
from core.flow.measuring import Measured
from core.flow.steel_evidence import rows_of_steel
from core.flow.survey_evidence import rows_of_survey

ROW = ["record", *PLACE]


def rows_of_findings(found: pd.DataFrame, numbers: Measured, known: Facts) -> pd.DataFrame:
    """One row per finding and ledger row: finding (its index), subject, kind, record, row."""
    parts = [_rows_of_measures(numbers.profile, numbers.runs, known)]
    parts += rows_of_grout(numbers, known)
    parts += rows_of_steel(numbers, known)
    parts += rows_of_survey(numbers, known)
    measures = pd.concat(parts, ignore_index=True).drop_duplicates()
    named = found.reset_index(names="finding")
    told = named[["finding", "subject_kind", "subject", "kind", "measure"]]
    joined = told.merge(measures, on=["subject_kind", "subject", "measure"])
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
        cited(profile[profile["in_window"]], "torque_reading", ["final_torque_nm"]),
        cited(pd.concat([greatest, above]), "torque_reading", ["greatest_torque_nm"]),
        cited(late, "torque_reading", ["readings_out_of_force"]),
        cited(_by_instrument(late), "torque_reading", ["readings_out_of_force"], "instrument"),
        cited(known.readings_without_run, "torque_reading", ["lost"]),
        cited(
            runs,
            "run",
            ["toe_mm", "stop_reason", "embedment_mm", "disturbed_toe_mm", "stop_from_mm"],
        ),
        cited(
            of_pile,
            "schedule",
            ["schedule", "required_torque_nm", "torque_factor_per_m", "embedment_mm"],
        ),
        cited(of_position, "schedule", ["schedule"], "position"),
        cited(runs, "run", ["schedule"]),
        cited(known.sign_offs.rename(columns={"subject": "pile_id"}), "sign_off", ["sign_off"]),
    ]
    return pd.concat(parts, ignore_index=True)


def _own(runs: pd.DataFrame, piles: pd.DataFrame) -> pd.DataFrame:
    own = runs.loc[~runs["pile_id"].isin(piles["pile_id"]), ["pile_id"]].drop_duplicates()
    return own.assign(position_id=own["pile_id"])


def _by_instrument(readings: pd.DataFrame) -> pd.DataFrame:
    named = readings[["instrument_id", *PLACE]]
    return named.rename(columns={"instrument_id": "pile_id"})
