"""How well each torque is known: of every reading, and of what a pile's final window gives.

Gauge and calibration err alike in all readings of one instrument, so the expanded uncertainty of
a mean is the mean of those of its readings, with the same weights.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from core.compute import measurement
from core.compute import torque as formulas
from core.compute.measures import pressure_kinds
from core.compute.measures.calibration import CURVE
from core.compute.measures.torque import final_of

OF_READING = "torque_uncertainty_nm"
OF_PILE = {
    "final_uncertainty_nm": "final_torque_nm",
    "last_uncertainty_nm": "last_torque_nm",
    "without_greatest_uncertainty_nm": "torque_without_greatest_nm",
    "greatest_uncertainty_nm": "greatest_torque_nm",
}


def with_uncertainty(
    readings: pd.DataFrame, points: pd.DataFrame, instruments: pd.DataFrame
) -> pd.DataFrame:
    """``readings`` with torque_uncertainty_nm, NaN where nothing is known of the instrument.

    ``readings`` come of ``with_torque``; ``instruments`` has one row per instrument with
    class_share, full scale, resolution, calibration_nm and coverage.
    """
    expanded = np.full(len(readings), np.nan)
    if len(instruments) and len(readings):
        place = pd.Index(instruments["instrument_id"]).get_indexer(readings["instrument_id"])
        own = instruments.iloc[np.maximum(place, 0)].reset_index(drop=True)
        shown = readings["torque_read_nm"].notna().to_numpy()
        expanded = np.where(shown, _shown(own), _through_gauge(own, _slopes(readings, points)))
        known = (place >= 0) & readings["floor_torque_nm"].notna().to_numpy()
        expanded = np.where(known, expanded, np.nan)
    return readings.assign(**{OF_READING: expanded})


def _shown(own: pd.DataFrame) -> np.ndarray:
    names = ("class_share", "full_scale_nm", "resolution_nm", "calibration_nm", "coverage")
    values: np.ndarray = measurement.of_torque_shown(*(own[name].to_numpy() for name in names))
    return values


def _through_gauge(own: pd.DataFrame, slopes: np.ndarray) -> np.ndarray:
    gauge = measurement.of_gauge(own["class_share"].to_numpy(), own["full_scale_kpa"].to_numpy())
    step = measurement.of_resolution(own["resolution_kpa"].to_numpy())
    values: np.ndarray = measurement.of_torque(
        slopes, gauge, step, own["calibration_nm"].to_numpy(), own["coverage"].to_numpy()
    )
    return values


def _slopes(readings: pd.DataFrame, points: pd.DataFrame) -> np.ndarray:
    """Slope of each reading's curve at its pressure; NaN without a curve by pressure."""
    curves: dict[Any, pd.DataFrame] = dict(iter(points.groupby(CURVE, sort=False)))
    pressure = readings["curve_pressure_kpa"].to_numpy(dtype=float)
    slopes = np.full(len(readings), np.nan)
    groups: dict[Any, Any] = readings.groupby([*CURVE, "curve_pressure_kind"], sort=False).indices
    for (*key, kind), rows in groups.items():
        curve = curves.get(tuple(key))
        if curve is None or len(curve) < 2:
            continue
        curve = curve.sort_values("point_pressure_kpa")
        points_kpa = pressure_kinds.points_on(kind, curve)
        if np.isnan(points_kpa).any():
            continue
        slopes[rows] = formulas.torque_per_pressure(
            pressure[rows], points_kpa, curve["point_torque_nm"].to_numpy(dtype=float)
        )
    return slopes


def uncertainties(profile: pd.DataFrame, piles: pd.DataFrame) -> pd.DataFrame:
    """One row per pile: expanded uncertainty of final, last, without-the-greatest and greatest."""
    found = pd.DataFrame(index=pd.Index(piles["pile_id"]), columns=list(OF_PILE), dtype=float)
    known = profile[profile[OF_READING].notna()]
    if known.empty:
        return found
    found["final_uncertainty_nm"] = final_of(profile[profile["standing"]], OF_READING, piles)
    top = known.loc[known["torque_nm"].dropna().groupby(known["pile_id"]).idxmax()]
    found["greatest_uncertainty_nm"] = top.set_index("pile_id")[OF_READING]
    window = profile[profile["in_window"]]
    by_pile = window.groupby("pile_id", sort=False)
    found["last_uncertainty_nm"] = by_pile[OF_READING].last(skipna=False)
    torque = window["floor_torque_nm"].dropna()
    greatest = torque.groupby(window["pile_id"]).idxmax()
    rest = window[~window.index.isin(greatest)].groupby("pile_id")[OF_READING]
    found["without_greatest_uncertainty_nm"] = rest.mean().where(rest.count() == rest.size())
    return found
