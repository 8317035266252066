"""A small made-up assessment with the columns that the screens read, for tests without a ledger."""

from __future__ import annotations

from copy import copy
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd

from core import records, words
from core.assessment.snapshot import Snapshot, load_snapshot
from core.settings import Project, load_project

STATES = [state.word for state in words.STATES]
SPACING_M = 3.0


@dataclass(frozen=True)
class StubMeasured:
    """What `core.assessment.measuring.Measured` is to the screens."""

    profile: pd.DataFrame
    recorded: pd.DataFrame
    lifts: pd.DataFrame
    specimens: pd.DataFrame
    sampled: pd.DataFrame
    trace: pd.DataFrame
    surveys: pd.DataFrame


def otherwise(made, **frames: object):
    """An assessment, its measures or a stub with other frames than it would make when asked."""
    other = copy(made)
    vars(other).update(frames)
    return other


def measured_otherwise(made, **frames: pd.DataFrame):
    """An assessment, or a stub of one, with other frames of measures."""
    return otherwise(made, measured=otherwise(made.measured, **frames))


@dataclass(frozen=True)
class StubAssessment:
    """What `core.services.Assessment` is to the screens."""

    folder: Path
    project: Project
    piles: pd.DataFrame
    positions: pd.DataFrame
    findings: pd.DataFrame
    measured: StubMeasured
    attention: pd.DataFrame
    counts: dict[str, int]
    entry: int = 7
    on: date = date(2026, 10, 3)
    settings_recorded: bool = True
    accepted_positions: int = 2
    runs_not_closed: int = 1
    piles_not_closed: tuple[str, ...] = ("P-05",)
    current_positions: int = 12

    @property
    def snapshot(self) -> Snapshot:
        """What the ledger of the folder holds, which is nothing but its settings."""
        return load_snapshot(self.folder)

    def evidence(self, pile_id: str) -> pd.DataFrame:
        """Rows 4 to 6 and 9 of one log, for one finding."""
        return pd.DataFrame(
            {
                "kind": "required torque",
                "record": "torque_reading",
                "file": f"log of {pile_id}.csv",
                "sheet": "",
                "row": pd.array([4, 5, 6, 9], dtype="Int64"),
            }
        )


def stub_assessment(folder: Path, count: int = 12) -> StubAssessment:
    """``count`` piles in a row, their states in turn; the last position has no pile yet."""
    piles = _piles(count)
    return StubAssessment(
        folder=folder,
        project=load_project(folder),
        piles=piles,
        positions=pd.DataFrame(
            {
                "position_id": piles["position_id"],
                "area": piles["area"],
                "current": True,
                "accepted": piles["state"].isin(words.ACCEPTED_STATES),
                "state": piles["state"],
            }
        ),
        findings=_findings(piles),
        measured=StubMeasured(
            profile=_profile(piles),
            recorded=_recorded(piles),
            lifts=_none("pile_id"),
            specimens=_none("sample_group_id"),
            sampled=_none("sample_group_id", "pile_id"),
            trace=_none("pile_id", "run_no", "place", "mill", "heat").assign(
                latest=pd.Series(dtype=bool)
            ),
            surveys=_none("pile_id", "surveyed_on"),
        ),
        attention=_attention(),
        counts=piles["state"].value_counts().to_dict(),
        current_positions=count,
    )


def _piles(count: int) -> pd.DataFrame:
    place = np.arange(count)
    state = pd.Series([STATES[n % len(STATES)] for n in place])
    number = pd.Series([f"P-{n + 1}" for n in place])
    started = state != "not started"
    frame = pd.DataFrame(
        {
            "pile_id": number.where(place < count - 1),
            "position_id": number,
            "area": np.where(place < count // 2, "BW", "TW"),
            "pile_type": np.where(place < count // 2, "B1", "W1"),
            "section": "round 89",
            "duty": "production",
            "counted": True,
            "stage": np.where(started, "installed", "on the schedule"),
            "stage_on": pd.Timestamp("2026-09-20"),
            "state": state,
            "replaces": np.nan,
            "rig": np.where(started, "Rig 1", None),
            "run_on": pd.Timestamp("2026-09-20"),
            "runs": pd.array(started.astype(int), dtype="Int64"),
            "stop_reason": "torque and depth reached",
            "easting_m": 100 + SPACING_M * place,
            "northing_m": 50.0 + 6 * (place % 3),
            "batter_deg": np.where(place < count // 2, 0.0, 45.0),
            "azimuth_deg": np.where(place < count // 2, np.nan, 180.0),
            "ground_level_m": 2.0,
            "run_ground_level_m": np.nan,
            "first_disc_depth_mm": np.nan,
            "element": "helical pile",
            "revision": "C",
            "instruction": np.nan,
            "signed_by": np.where(state == "accepted", "Erin Sample", None),
            "signed_on": pd.Timestamp("2026-09-21"),
            "sign_off_note": "",
            "window_mm": 900.0,
            "window_rule": "plain mean",
            "torque_factor_source": "invented tests of 2025",
            "factor_direction": "compression",
            "required_by": "printed",
            "printed_governs": None,
            "printed_torque_nm": 8000.0,
            "compression_torque_nm": 8000.0,
            "tension_torque_nm": np.nan,
        }
    )
    numbers = {measure.name: 0.9 for measure in records.MEASURES}
    numbers |= {"toe_mm": 6000.0, "installed_mm": 6000.0, "final_torque_nm": 9000.0}
    numbers |= {"required_torque_nm": 8000.0, "rated_torque_nm": 15000.0, "resistance_kn": 180.0}
    numbers |= {"max_torque_nm": 9500.0, "window_gap_mm": 300.0, "upper_gap_mm": 300.0}
    numbers |= {"final_torque_lower_bound_nm": 9000.0, "schedule_rated_torque_nm": 16000.0}
    ratings = {"section_rated_torque_nm": 15000.0, "component_rated_torque_nm": np.nan}
    ratings |= {"structural_kn": np.nan, "structural_by": None, "over_structural": False}
    return frame.assign(**numbers, **ratings, component_rated_stamp="")


def _findings(piles: pd.DataFrame) -> pd.DataFrame:
    asked = piles["state"].map({"engineer review": "not met", "record incomplete": "no evidence"})
    torque = pd.DataFrame(
        {
            "subject_kind": "pile",
            "subject": piles["pile_id"],
            "pile_id": piles["pile_id"],
            "kind": "required torque",
            "result": asked.fillna("met"),
            "measured": 7500.0,
            "limit_value": 8000.0,
            "sense": "at least",
            "margin": -500.0,
            "uncertainty": np.nan,
            "unit_column": "required_torque_nm",
            "clause": "Invented 4.2",
            "note": "mean of <3> readings & more",
            "measure": "final_torque_nm",
        }
    ).dropna(subset=["pile_id"])
    stop = torque.assign(
        kind="reason for stopping", result="met", measured=np.nan, limit_value=np.nan,
        sense="", margin=np.nan, unit_column="", note="torque and depth reached",
    )  # fmt: skip
    order = {word: rank for rank, word in enumerate(words.RESULTS)}
    both = pd.concat([torque, stop], ignore_index=True)
    return both.sort_values("result", key=lambda column: column.map(order), kind="stable")


def readings_of(pile: str, count: int = 20) -> pd.DataFrame:
    """``count`` readings of one run, the first below the calibrated range, the second idle."""
    depth = 300 * np.arange(1, count + 1)
    torque = np.linspace(2000, 9500, count)
    torque[0] = np.nan
    return pd.DataFrame(
        {
            "pile_id": pile,
            "run_no": "1",
            "depth_mm": pd.array(depth, dtype="Int64"),
            "torque_nm": torque,
            "torque_lower_bound_nm": torque,
            "range": np.where(np.isnan(torque), "below", "in"),
            "current": True,
            "counts": np.arange(count) != 1,
            "of_header": False,
            "in_window": np.arange(count) >= count - 3,
            "rig": "Rig 1",
            "event": pd.array([None, "<b>roots</b>", *(count - 2) * [None]], dtype="str"),
            "event_words": ["", "other text", *(count - 2) * [""]],
            "entry_no": 3,
            "row_no": np.arange(count) + 2,
        }
    )


def _profile(piles: pd.DataFrame) -> pd.DataFrame:
    held = piles.loc[piles["state"] != "not started", "pile_id"].dropna()
    readings = pd.concat([readings_of(pile) for pile in held], ignore_index=True)
    return readings.assign(instrument_id="GS-12", read_on=pd.Timestamp("2026-09-20"))


def _recorded(piles: pd.DataFrame) -> pd.DataFrame:
    profile = _profile(piles)
    written = profile[profile["event"].notna()].rename(columns={"event": "text"})
    return written[["pile_id", "run_no", "depth_mm", "text", "event_words"]]


def _none(*columns: str) -> pd.DataFrame:
    return pd.DataFrame(columns=list(columns), dtype="str")


def _attention() -> pd.DataFrame:
    return pd.DataFrame(
        {
            "kind": ["required torque", "calibration in force"],
            "subject": ["P-2", "GS-12"],
            "subject_kind": ["pile", "instrument"],
            "area": ["BW", None],
            "blocks": ["AC", "AH"],
            "responsible": ["DES", "QC"],
            "closed_by": ["a deeper run", "a certificate"],
            "result": ["not met", "no evidence"],
            "measured": [7500.0, np.nan],
            "limit_value": [8000.0, np.nan],
            "sense": ["at least", ""],
            "unit_column": ["required_torque_nm", ""],
            "clause": ["Invented 4.2", ""],
            "due": pd.Timestamp("2026-09-20"),
            "age_days": pd.array([13, None], dtype="Int64"),
            "note": ["mean of 3 readings", "19 readings"],
            "piles": [("P-2",), ()],
        }
    )
