"""Reads the sample project's raw logs with nothing but the csv format and its own arithmetic.

It stands apart from the program on purpose: what it says of the ground cannot come from our code.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd

SAMPLE = Path(__file__).parents[2] / "sample_project"
RAW = SAMPLE / "raw"
MM_PER_FT, NM_PER_FT_LB = 304.8, 1.3558179483
FROM_US = {
    "Pile no": "Pile",
    "Day": "Date",
    "Gauge set": "Instrument",
    "Toe (ft)": "toe",
    "Final depth (m)": "toe",
}


def table(path: Path) -> pd.DataFrame:
    """A raw file as text, nothing guessed."""
    return pd.read_csv(path, dtype=str, keep_default_na=False)


def curves() -> dict[tuple[str, str, str], tuple[np.ndarray, np.ndarray]]:
    """Shown values and torques [N·m] by instrument, first day in force and gear."""
    found = {}
    for path in sorted(RAW.glob("certificate_*.csv")):
        points = table(path)
        points["Gear"] = points.get("Gear", "")
        torque = next(name for name in points if name.startswith("Torque"))
        shown = next((name for name in points if name.startswith("Pressure")), torque)
        to_nm = 1000.0 if "kN" in torque else NM_PER_FT_LB
        for key, rows in points.groupby(["Instrument", "Valid from", "Gear"]):
            values = rows[shown].astype(float).to_numpy()
            found[key] = values, rows[torque].astype(float).to_numpy() * to_nm
    return found


def readings() -> pd.DataFrame:
    """One row per advancing reading: Pile, Run, Date, depth_mm, torque_nm, toe_mm."""
    logs = [_log(path) for path in sorted(RAW.glob("log_*.csv"))]
    frame = pd.concat(logs, ignore_index=True)
    frame = frame[frame["Turning"].ne("reversed")]
    known = curves()
    frame["torque_nm"] = [_torque(row, known) for row in frame.to_dict("records")]
    kept = ["Pile", "Run", "Date", "depth_mm", "torque_nm", "toe_mm", "feet"]
    return frame[kept].sort_values(["Pile", "Run", "depth_mm"]).reset_index(drop=True)


def _log(path: Path) -> pd.DataFrame:
    frame = table(path).rename(columns=FROM_US)
    feet = "Depth (ft)" in frame
    depth = "Depth (ft)" if feet else "Depth (m)"
    to_mm = MM_PER_FT if feet else 1000.0
    shown = frame["Pressure (psi)" if feet else "Pressure (bar)"]
    if feet:
        shown = shown.where(shown.ne(""), frame["Torque (ft-lb)"])
    return frame.assign(
        feet=feet,
        depth_mm=(frame[depth].astype(float) * to_mm).round(),
        toe_mm=(pd.to_numeric(frame["toe"].where(frame["toe"].ne(""))) * to_mm).round(),
        shown=shown.astype(float),
        Gear=frame.get("Gear", ""),
        Turning=frame.get("Turning", "advancing"),
    )


def _torque(row: dict, known: dict) -> float:
    own = [key for key in known if key[0] == row["Instrument"] and key[2] == row["Gear"]]
    latest = max(key for key in own if key[1] <= row["Date"])
    return float(np.interp(row["shown"], *known[latest]))


def planted() -> pd.DataFrame:
    """planted.csv as text."""
    return table(SAMPLE / "planted.csv")


def schedule() -> pd.DataFrame:
    """Revision C, and revision B for what C does not name; by position."""
    both = [table(RAW / f"schedule_rev_{revision}.csv") for revision in "BC"]
    frame = pd.concat(both).drop_duplicates("Position", keep="last").fillna("")
    return frame.set_index("Position")


def places() -> dict[str, tuple[float, float]]:
    """Where each pile stands: by instruction, else by design (easting, northing in m)."""
    where = {
        position: (float(row["Easting (m)"]), float(row["Northing (m)"]))
        for position, row in schedule().iterrows()
    }
    for row in table(RAW / "piles.csv").to_dict("records"):
        where[row["Pile"]] = float(row["New easting (m)"]), float(row["New northing (m)"])
    return where
