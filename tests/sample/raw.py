"""Reads the sample project's raw files with its own arithmetic, and no line of the program.

It stands apart from the program on purpose: what it says of the ground cannot come from our code.
Rows that planted_problems.csv names are dropped here by their number.
"""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

import numpy as np
import pandas as pd

from tests.sample import books

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
FALSE_STARTS = ("B27-1", "B27-2", "B28-1", "B45-1", "B45-2")  # runs that were never driven


def table(path: Path) -> pd.DataFrame:
    """A raw file of the plain sort as text, nothing guessed."""
    return pd.read_csv(path, dtype=str, keep_default_na=False)


@cache
def planted_problems() -> pd.DataFrame:
    """planted_problems.csv as text."""
    return table(SAMPLE / "planted_problems.csv")


def bad_rows(file: str, sheet: str = "") -> set[int]:
    """Rows of a sheet that a problem is planted in."""
    listed = planted_problems()
    own = listed[listed["file"].eq(file) & listed["sheet"].eq(sheet) & listed["row"].ne("")]
    return {int(row) for row in own["row"]}


def log(path: Path) -> pd.DataFrame:
    """A log of a rig without its bad rows; an office copy with its commas put back."""
    office = path.read_bytes().startswith(b"Daily log")
    text = path.read_text(encoding="cp1252" if office else "utf-8")
    bad = bad_rows(path.name)
    lines = [(at, line) for at, line in enumerate(text.splitlines(), 1) if at not in bad]
    lines = lines[3 if office else 0 :]
    rows = list(csv.reader([line for _, line in lines], delimiter=";" if office else ","))
    frame = pd.DataFrame(rows[1:], columns=rows[0])
    if office:
        numbers = frame.columns[frame.columns.str.contains(r"\((?:m|bar)\)")]
        frame[numbers] = frame[numbers].apply(lambda texts: texts.str.replace(",", "."))
        days = pd.to_datetime(frame["Date"], format="%d.%m.%Y")
        frame["Date"] = days.dt.strftime("%Y-%m-%d")
    return frame


def curves() -> dict[tuple[str, str, str], tuple[np.ndarray, np.ndarray]]:
    """Shown values and torques [N·m] by instrument, first day in force and gear."""
    found = {}
    plain = [table(path) for path in sorted(RAW.glob("certificate_*.csv"))]
    for points in (*plain, *books.certificates()):
        points["Gear"] = points.get("Gear", "")
        torque = next(name for name in points if name.startswith("Torque"))
        shown = next((name for name in points if name.startswith("Differential pressure")), torque)
        to_nm = 1000.0 if "kN" in torque else NM_PER_FT_LB
        for key, rows in points.groupby(["Instrument", "Valid from", "Gear"]):
            values = rows[shown].astype(float).to_numpy()
            found[key] = values, rows[torque].astype(float).to_numpy() * to_nm
    return found


def readings() -> pd.DataFrame:
    """One row per advancing reading: Pile, Run, Date, depth_mm, torque_nm, toe_mm."""
    papers = planted_problems().query("kind == 'not a table'")["file"].tolist()
    sheets = [log(path) for path in sorted(RAW.glob("log_*.csv")) if path.name not in papers]
    sheets += [*books.pile_sheets(bad_rows), *books.day_sheets(bad_rows)]
    logs = [_log(sheet) for sheet in sheets]
    frame = pd.concat(logs, ignore_index=True)
    frame = frame[frame["Turning"].ne("reversed")]
    known = curves()
    frame["torque_nm"] = [_torque(row, known) for row in frame.to_dict("records")]
    kept = ["Pile", "Run", "Date", "depth_mm", "torque_nm", "toe_mm", "feet"]
    return frame[kept].sort_values(["Pile", "Run", "depth_mm"]).reset_index(drop=True)


def _log(frame: pd.DataFrame) -> pd.DataFrame:
    frame = frame.rename(columns=FROM_US)
    frame = frame[~frame["Pile"].isin(FALSE_STARTS)]
    feet = "Depth (ft)" in frame
    depth = frame["Depth (ft)" if feet else "Depth (m)"].astype(float)
    frame, depth = frame[_at_station(depth, feet)], depth[_at_station(depth, feet)]
    to_mm = MM_PER_FT if feet else 1000.0
    shown = frame["Differential pressure (psi)" if feet else "Differential pressure (bar)"]
    if feet:
        shown = shown.where(shown.ne(""), frame["Torque (ft-lb)"])
    return frame.assign(
        feet=feet,
        depth_mm=(depth * to_mm).round(),
        toe_mm=(pd.to_numeric(frame["toe"].where(frame["toe"].ne(""))) * to_mm).round(),
        shown=shown.astype(float),
        Gear=frame.get("Gear", ""),
        Turning=frame.get("Turning", "advancing"),
    )


def _at_station(depth: pd.Series, feet: bool) -> pd.Series:
    """Whether a depth is one of the log's own; what is written between two belongs to a slip."""
    stations = depth if feet else depth / 0.3
    return (stations - stations.round()).abs() < 0.01


def _torque(row: dict, known: dict) -> float:
    own = [key for key in known if key[0] == row["Instrument"] and key[2] == row["Gear"]]
    latest = max(key for key in own if key[1] <= row["Date"])
    return float(np.interp(row["shown"], *known[latest]))


def planted() -> pd.DataFrame:
    """planted.csv as text."""
    return table(SAMPLE / "planted.csv")


def schedule() -> pd.DataFrame:
    """Revision C, and revision B for what C does not name; by position."""
    bad = bad_rows("schedule_rev_C.xlsx", "Schedule")
    both = [table(RAW / "schedule_rev_B.csv"), books.schedule_c(bad)]
    frame = pd.concat(both).drop_duplicates("Position", keep="last").fillna("")
    return frame.set_index("Position")


def instructed() -> list[dict[str, str]]:
    """Replacement, moved and extra piles."""
    return books.instructions(bad_rows("instructions.ods", "Instructions")).to_dict("records")


def places() -> dict[str, tuple[float, float]]:
    """Where each pile stands: by instruction, else by design (easting, northing in m)."""
    where = {
        position: (float(row["Easting (m)"]), float(row["Northing (m)"]))
        for position, row in schedule().iterrows()
    }
    for row in instructed():
        where[row["Pile"]] = float(row["New easting (m)"]), float(row["New northing (m)"])
    return where
