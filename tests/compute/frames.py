"""Small typed frames for tests of measures: only what a test says differs from a plain pile."""

from __future__ import annotations

import numpy as np
import pandas as pd

from core import records
from core.compute.measures import calibration, disturbance, final_readings, torque

GRID = list(range(300, 3001, 300))


def run_frame(*rows):
    """Runs of pile P1 unless said otherwise, typed, in order."""
    base = {"pile_id": "P1", "run_no": "1", "run_on": "2026-03-02", "toe_mm": 3000}
    base |= {"stop_reason": "torque and depth reached", "rig": "R1"}
    frame = pd.DataFrame([{**base, **row} for row in rows])
    frame = records.typed(frame, records.KIND["run"].columns)
    order = range(1, len(frame) + 1)
    return frame.assign(entry_no=1, row_no=order, run_order=order)


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
        "toe_mm": 3000.0,
        "window_mm": 900.0,
        "interval_tolerance_mm": 10.0,
        "window_rule": "plain mean",
        "void_to_mm": np.nan,
        "stop_from_mm": np.nan,
        "stop_to_mm": np.nan,
        "predrilled_length_mm": np.nan,
        "run_advance_mm_per_turn": np.nan,
        "pitch_mm": 75.0,
        "toe_reading_mm": 150.0,
        "stop_h": 12.0,
        "stop_multiple": 1.0,
        "disturbed_multiple": 3.0,
        "largest_helix_mm": 350.0,
    }
    return pd.DataFrame([{**base, **changed}]).astype({"pile_id": "str"})


WIDE = point_frame([(np.nan, 0.0), (np.nan, 20000.0)])


def profile(readings, runs, piles=None, certificates=None, points=None):
    """The profile that readings and runs give, and the piles with what disturbed them."""
    certificates = certificate_frame() if certificates is None else certificates
    runs = disturbance.with_stops(runs)
    piles = pile_frame() if piles is None else piles
    points = WIDE if points is None else points
    runs = runs.assign(ended_on=runs["run_on"])
    readings = final_readings.with_final_readings(readings.reset_index(drop=True), runs)
    readings = calibration.with_torque(readings, certificates, points)
    log = readings[~readings["of_header"]]
    reach = disturbance.reach(log, runs)
    stops = disturbance.long_stops(log, reach, piles)
    disturbed = disturbance.disturbed_ground(log, reach, piles)
    piles = piles.drop(columns=["void_to_mm"]).merge(disturbed, on="pile_id")
    piles = piles.drop(columns=["stop_from_mm", "stop_to_mm"])
    piles = piles.merge(stops.tail(1), on="pile_id", how="left")
    return torque.with_standing(readings, piles, reach, stops), piles
