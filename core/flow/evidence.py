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
SUBJECT = ["subject_kind", "subject", "measure"]


def rows_of_measures(numbers: Measured, known: Facts) -> pd.DataFrame:
    """One row per subject, measure and ledger row that the measure rests on."""
    parts = _rows_of_torque(numbers.profile, numbers.runs, known)
    parts += rows_of_grout(numbers, known)
    parts += rows_of_steel(numbers, known)
    parts += rows_of_survey(numbers, known)
    return pd.concat(parts, ignore_index=True)


def with_sign_offs(cited_rows: pd.DataFrame, sign_offs: pd.DataFrame) -> pd.DataFrame:
    """``cited_rows`` of measures, and the sign-offs."""
    signed = cited(sign_offs.rename(columns={"subject": "pile_id"}), "sign_off", ["sign_off"])
    return pd.concat([cited_rows, signed], ignore_index=True)


def rows_of_findings(found: pd.DataFrame, cited_rows: pd.DataFrame) -> pd.DataFrame:
    """One row per finding and ledger row: finding (its index), subject, kind, record, row."""
    near = cited_rows[cited_rows["subject"].isin(found["subject"])]
    named = found.reset_index(names="finding")[["finding", *SUBJECT, "kind"]]
    joined = named.merge(near, on=SUBJECT)[["finding", "subject", "kind", *ROW]]
    return joined.drop_duplicates(ignore_index=True)


def added_since(found: pd.DataFrame, cited_rows: pd.DataFrame, signed: pd.Series) -> set[str]:
    """Piles of which a finding rests on a row newer than their entry in ``signed``, by pile."""
    newer = cited_rows["entry_no"] > cited_rows["subject"].map(signed)
    rows = cited_rows[newer.fillna(False) & cited_rows["subject_kind"].eq("pile")]
    return set(rows.merge(found[SUBJECT], on=SUBJECT)["subject"])


def _rows_of_torque(profile: pd.DataFrame, runs: pd.DataFrame, known: Facts) -> list[pd.DataFrame]:
    """One row per subject, measure and ledger row; subjects of one number differ by their kind."""
    positions = pd.concat([known.piles[["pile_id", "position_id"]], _own(runs, known.piles)])
    schedule = known.schedule[["position_id", *PLACE]]
    of_pile = positions.merge(schedule, on="position_id")
    of_position = schedule.rename(columns={"position_id": "pile_id"})
    late = profile[~profile["in_force"]]
    measured = profile[profile["torque_nm"].notna()]
    greatest = measured.loc[measured.groupby("pile_id")["torque_nm"].idxmax()]
    above = profile[profile["range"].eq("above")]
    return [
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
    ]


def _own(runs: pd.DataFrame, piles: pd.DataFrame) -> pd.DataFrame:
    own = runs.loc[~runs["pile_id"].isin(piles["pile_id"]), ["pile_id"]].drop_duplicates()
    return own.assign(position_id=own["pile_id"])


def _by_instrument(readings: pd.DataFrame) -> pd.DataFrame:
    named = readings[["instrument_id", *PLACE]]
    return named.rename(columns={"instrument_id": "pile_id"})
