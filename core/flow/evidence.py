"""Which rows of the ledger each finding rests on."""

from __future__ import annotations

import numpy as np
import pandas as pd

from core import records
from core.compute.measures import pressure_kinds
from core.compute.measures.events import names_event, texts_to_read
from core.compute.selection import calibration_points, readings_without_run, schedule_in_force
from core.criteria import FINDING_KINDS
from core.flow.citing import PLACE, cited
from core.flow.grout_evidence import rows_of_grout
from core.flow.measuring import Measured
from core.flow.snapshot import Snapshot
from core.flow.steel_evidence import rows_of_steel
from core.flow.survey_evidence import rows_of_survey
from core.records import JUDGED_EVENTS

ROW = ["record", *PLACE]
# Record kinds of which a finding that names one cites the rows about its pile; of the others a
# function of this package says which rows.
_CITED_WHOLE = {kind.name for kind in records.KINDS if "pile_id" in kind.names} - {"survey"}
SUBJECT = ["subject_kind", "subject", "measure"]


def rows_of_measures(numbers: Measured, known: Snapshot) -> pd.DataFrame:
    """One row per subject, measure and ledger row that the measure rests on."""
    parts = _rows_of_torque(numbers.profile, numbers.runs, known)
    parts += _rows_of_events(numbers.profile, numbers.recorded)
    parts += _rows_without_parent(known.rows_without_parent)
    parts += rows_of_grout(numbers, known)
    parts += rows_of_steel(numbers, known)
    parts += rows_of_survey(numbers, known)
    parts += [
        cited(known.until(kind), kind, [kind])
        for kind in sorted({kind.measure for kind in FINDING_KINDS} & _CITED_WHOLE)
    ]
    return pd.concat(parts, ignore_index=True)


def rows_of_sign_offs(sign_offs: pd.DataFrame) -> pd.DataFrame:
    """One row per sign-off, as of a measure of its pile."""
    return cited(sign_offs.rename(columns={"subject": "pile_id"}), "sign_off", ["sign_off"])


def rows_of_findings(found: pd.DataFrame, cited_rows: tuple[pd.DataFrame, ...]) -> pd.DataFrame:
    """One row per finding and ledger row: finding (its index), subject, kind, record, row."""
    near = pd.concat([rows[rows["subject"].isin(found["subject"])] for rows in cited_rows])
    named = found[[*SUBJECT, "kind"]].reset_index(names="finding")
    joined = named.merge(near, on=SUBJECT)[["finding", "subject", "kind", *ROW]]
    return joined.drop_duplicates(ignore_index=True)


def added_since(found: pd.DataFrame, cited_rows: pd.DataFrame, signed: pd.Series) -> set[str]:
    """Piles of which a finding rests on a row newer than their entry in ``signed``, by pile."""
    rows = cited_rows[cited_rows["entry_no"] > (signed.min() if len(signed) else np.inf)]
    newer = rows["entry_no"] > rows["subject"].map(signed)
    rows = rows[newer.fillna(False) & rows["subject_kind"].eq("pile")]
    return set(rows.merge(found[SUBJECT], on=SUBJECT)["subject"])


def _rows_of_torque(
    profile: pd.DataFrame, runs: pd.DataFrame, known: Snapshot
) -> list[pd.DataFrame]:
    """One row per subject, measure and ledger row; subjects of one number differ by their kind."""
    piles = known.frame("pile")
    positions = pd.concat([piles[["pile_id", "position_id"]], _own(runs, piles)])
    schedule = known.select(schedule_in_force)[["position_id", *PLACE]]
    of_pile = positions.merge(schedule, on="position_id")
    of_position = schedule.rename(columns={"position_id": "pile_id"})
    read = profile[profile["inside"] & (profile["standing"] | profile["superseded"])]
    late = profile[~profile["in_force"]]
    measured = profile[profile["torque_nm"].notna()]
    greatest = measured.loc[measured.groupby("pile_id")["torque_nm"].idxmax()]
    above = profile[profile["range"].eq("above")]
    return [
        *_cited_readings(read, "final_torque_nm"),
        *_cited_readings(pd.concat([greatest, above]), "greatest_torque_nm"),
        *_cited_readings(late, "readings_out_of_force"),
        *_cited_readings(_by_instrument(late), "readings_out_of_force", "instrument"),
        *_without_kind(profile, known.select(calibration_points)),
        cited(known.select(readings_without_run), "torque_reading", ["lost"]),
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
        cited(runs[runs["open_run"]], "run", ["open_run"]),
    ]


def _cited_readings(
    rows: pd.DataFrame, measure: str, subject_kind: str = "pile"
) -> list[pd.DataFrame]:
    """Rows of logs, and of the runs whose header gives a final reading."""
    of_header = rows["of_header"]
    return [
        cited(rows[~of_header], "torque_reading", [measure], subject_kind),
        cited(rows[of_header], "run", [measure], subject_kind),
    ]


def _rows_of_events(profile: pd.DataFrame, recorded: pd.DataFrame) -> list[pd.DataFrame]:
    """Readings beside which an event is written, and texts that a person has to read."""
    noted = profile[profile["event_words"].ne("")]
    read = texts_to_read(recorded)
    beside = read["depth_mm"].notna()
    return [
        *(
            cited(noted[names_event(noted["event_words"], event.word)], "torque_reading",
                  [event.column])
            for event in JUDGED_EVENTS
        ),
        cited(read[beside], "torque_reading", ["event_text"]),
        cited(read[~beside], "run", ["event_text"]),
    ]  # fmt: skip


def _without_kind(profile: pd.DataFrame, points: pd.DataFrame) -> list[pd.DataFrame]:
    """The first row of each instrument and sheet whose pressures are of no recorded kind."""
    readings = _by_instrument(profile[pressure_kinds.readings_not_asked(profile)])
    bare = points[pressure_kinds.points_not_asked(points)]
    bare = bare.rename(columns={"instrument_id": "pile_id"})
    first = ["pile_id", "entry_no", "sheet"]
    readings = readings.drop_duplicates([*first, "of_header"])
    measure, subject = "pressure_kind", "instrument"
    return [
        *_cited_readings(readings, measure, subject),
        cited(bare.drop_duplicates(first), "calibration_point", [measure], subject),
    ]


def _rows_without_parent(rows: pd.DataFrame) -> list[pd.DataFrame]:
    """Rows about a pile or a sample group that is on no record."""
    named = rows.rename(columns={"number": "pile_id"})
    subjects = named["refers_by"].map({"pile_id": "pile"}).fillna("sample group")
    return [
        cited(part, str(record), ["unknown"], str(subject_kind))
        for (record, subject_kind), part in named.groupby([named["record"], subjects])
    ]


def _own(runs: pd.DataFrame, piles: pd.DataFrame) -> pd.DataFrame:
    own = runs.loc[~runs["pile_id"].isin(piles["pile_id"]), ["pile_id"]].drop_duplicates()
    return own.assign(position_id=own["pile_id"])


def _by_instrument(readings: pd.DataFrame) -> pd.DataFrame:
    named = readings[["instrument_id", "of_header", *PLACE]]
    return named.rename(columns={"instrument_id": "pile_id"})
