"""Small typed frames for tests of measures: only what a test says differs from a plain pile."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd

from core import records
from core.assessment.measuring import TableColumns
from core.records.current_rows import CurrentRows
from core.settings.frames import UNCERTAINTY, framed
from core.subjects.torque import frames
from core.subjects.torque.tables import Inputs, tables

GRID = list(range(300, 3001, 300))


def run_frame(*rows):
    """Runs of pile P1 unless said otherwise, typed, in order."""
    base = {"pile_id": "P1", "run_no": "1", "run_on": "2026-03-02", "toe_mm": 3000}
    base |= {"stop_reason": "torque and depth reached", "rig": "R1"}
    frame = pd.DataFrame([{**base, **row} for row in rows])
    frame = records.typed(frame, records.KIND["run"].columns)
    order = range(1, len(frame) + 1)
    frame["final_pressure_kind"] = frame["final_pressure_kind"].astype("str")
    return frame.assign(entry_no=1, row_no=order, run_order=order, sheet="runs")


def reading_frame(depths, torques=None, **same):
    """Readings of one run with an indicator in force: depth and torque."""
    base = {"pile_id": "P1", "run_no": "1", "run_on": "2026-03-02", "instrument_id": "I1"}
    torques = torques if torques is not None else np.full(len(depths), 5000.0)
    frame = pd.DataFrame({**base, "depth_mm": depths, "torque_read_nm": torques, **same})
    frame = records.typed(frame, records.KIND["torque_reading"].columns)
    extra = {
        "read_on": pd.to_datetime(frame["run_on"]).astype("datetime64[us]"),
        "run_order": frame["run_no"].astype(int),
        "run_on": pd.to_datetime(frame["run_on"]).astype("datetime64[us]"),
        "rig": "R1",
        "sheet": "log",
        "started_at": pd.NaT,
        "ended_at": pd.NaT,
        "toe_mm": np.nan,
        "predrilled_length_mm": np.nan,
    }
    frame = frame.assign(gear=frame["gear"].fillna(""), entry_no=1, **extra)
    return frame.assign(row_no=range(1, len(frame) + 1))


def certificate_frame(*rows):
    """Certificates of I1, all of 2026 unless said otherwise."""
    base = {"instrument_id": "I1", "certificate": "C1", "issued_on": "2026-01-01"}
    base |= {"valid_from_on": "2026-01-01", "valid_to_on": "2026-12-31"}
    frame = pd.DataFrame([{**base, **row} for row in rows or [{}]])
    return records.typed(frame, records.KIND["calibration"].columns)


def point_frame(points, **same):
    """Points (kPa, N·m) of certificate C1 of I1."""
    frame = pd.DataFrame(points, columns=["point_pressure_kpa", "point_torque_nm"])
    base = {"instrument_id": "I1", "certificate": "C1", "gear": "", **same}
    frame = frame.assign(**base, point_no=[str(n) for n in range(len(frame))])
    return records.typed(frame, records.KIND["calibration_point"].columns)


def pile_frame(**changed):
    """One pile P1 with everything that measures ask for."""
    base = {
        "pile_id": "P1",
        "helix_set": "350",
        "window_mm": 900.0,
        "interval_tolerance_mm": 10.0,
        "window_rule": "plain mean",
        "pitch_mm": 75.0,
        "toe_reading_mm": 150.0,
        "interval_mm": np.nan,
        "gap_tolerance_mm": np.nan,
        "event_multiple": 3.0,
        "stop_h": 12.0,
        "stop_multiple": 1.0,
        "disturbed_multiple": 3.0,
        "largest_helix_mm": 350.0,
    }
    return pd.DataFrame([{**base, **changed}]).astype({"pile_id": "str", "helix_set": "str"})


WIDE = point_frame([(np.nan, 0.0), (np.nan, 20000.0)])


def instrument_rows(*rows):
    """How well instruments measure, by the columns of project.toml."""
    frame = framed(list(rows), UNCERTAINTY)
    names = [name for name in UNCERTAINTY if name not in ("instrument_id", "source")]
    return frame.assign(**{f"{name}_key": frame["source"] for name in names})


def torque_inputs(readings, runs, piles=None, certificates=None, points=None, instruments=(), *,
                  on=date(2026, 12, 31)):  # fmt: skip
    """What torque works from, with a plain pile, certificate and curve where none is given."""
    piles = pile_frame() if piles is None else piles
    given = [
        readings.drop(columns=["read_on"]).reset_index(drop=True),
        runs,
        certificate_frame() if certificates is None else certificates,
        WIDE if points is None else points,
        instrument_rows(*instruments),
        piles,
    ]
    rows = [CurrentRows.of_frame(frame) for frame in given]
    return Inputs(*rows, on, "Europe/Oslo")


def torque_of(*given, traced=False, **also):
    """The tables of torque that rows of readings and runs give; arguments of ``torque_inputs``."""
    return tables(torque_inputs(*given, **also), traced)


def profile(*given, **also):
    """The frame of readings and the row of pile P1 that rows of readings and runs give."""
    found = torque_of(*given, **also)
    piles = TableColumns(found.pile.rows, found.pile, found.uncertainty)
    return frames.profile(found), piles.frame().iloc[0]
