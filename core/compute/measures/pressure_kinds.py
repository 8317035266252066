"""Differential and line pressures on one basis, so that a reading is compared with its own curve.

A record without a kind was stored before anybody asked; it counts as differential.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from core.compute import torque as formulas

DIFFERENTIAL, LINE = "differential", "line"


def is_line(kinds: pd.Series) -> np.ndarray:
    """Where a pressure is recorded as that of one line."""
    found: np.ndarray = kinds.eq(LINE).to_numpy(dtype=bool)
    return found


def readings_not_asked(readings: pd.DataFrame) -> pd.Series:
    """Where torque rests on a pressure of which nobody recorded the kind."""
    by_pressure = readings["pressure_kpa"].notna() & readings["torque_read_nm"].isna()
    bare: pd.Series = by_pressure & readings["pressure_kind"].fillna("").eq("")
    return bare


def points_not_asked(points: pd.DataFrame) -> pd.Series:
    """Where a calibration point has a pressure of which nobody recorded the kind."""
    bare: pd.Series = points["point_pressure_kpa"].notna()
    return bare & points["point_pressure_kind"].fillna("").eq("")


def not_asked(readings: pd.DataFrame, points: pd.DataFrame) -> pd.DataFrame:
    """One row per instrument: how many of its readings and points are without a kind."""
    counts = {
        "readings": readings.loc[readings_not_asked(readings), "instrument_id"].value_counts(),
        "points": points.loc[points_not_asked(points), "instrument_id"].value_counts(),
    }
    found = pd.DataFrame(counts).fillna(0).astype(int)
    return found.rename_axis("instrument_id").sort_index().reset_index()


def basis(readings: pd.DataFrame, curve: pd.DataFrame) -> np.ndarray:
    """The kind in which each reading is compared with ``curve``.

    Line only where both are; everything else as differential.
    """
    by_line = is_line(readings["pressure_kind"]) & is_line(curve["point_pressure_kind"]).all()
    return np.where(by_line, LINE, DIFFERENTIAL)


def readings_on(kind: str, readings: pd.DataFrame) -> np.ndarray:
    """Pressure of each reading in the kind asked for; NaN for a line without its return."""
    names = ("pressure_kpa", "pressure_kind", "return_pressure_kpa")
    return _on(kind, *(readings[name] for name in names))


def points_on(kind: str, curve: pd.DataFrame) -> np.ndarray:
    """Pressure of each point in the kind asked for; NaN for a line without its return."""
    names = ("point_pressure_kpa", "point_pressure_kind", "point_return_pressure_kpa")
    return _on(kind, *(curve[name] for name in names))


def _on(kind: str, pressures: pd.Series, kinds: pd.Series, returns: pd.Series) -> np.ndarray:
    pressure, back = pressures.to_numpy(dtype=float), returns.to_numpy(dtype=float)
    as_line = is_line(kinds) & (kind == DIFFERENTIAL)
    return np.where(as_line, formulas.differential_pressure(pressure, back), pressure)
