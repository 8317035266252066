"""Torque of every reading through the certificate of its instrument, gear and day."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from core.compute import torque as formulas
from core.compute.measures import pressure_kinds

CURVE = ["instrument_id", "certificate", "gear"]
KINDS_DIFFER = "reading and calibration curve are of different pressure kind"


def with_torque(
    readings: pd.DataFrame, certificates: pd.DataFrame, points: pd.DataFrame
) -> pd.DataFrame:
    """``readings`` with certificate, in_force, range, torque_nm, floor_ and ceiling_torque_nm.

    ``readings`` give read_on, the day on which each was taken. ``curve_pressure_kpa`` is the
    pressure with which a reading goes into its curve and ``curve_pressure_kind`` its kind;
    ``kinds_differ`` where reading and curve are of different kind and no return pressure is given.

    ``range`` is below, in or above the points of the curve, or none without a curve, and then
    ``no_torque_because`` says why. Outside the range torque_nm is NaN; floor_torque_nm is the last
    point's torque above the range, ceiling_torque_nm the first point's torque below it. A torque
    beside a pressure that has a curve is left out.
    """
    chosen = certificate_of_day(readings, certificates)
    frame = readings.merge(chosen, on=["instrument_id", "read_on"], how="left")
    frame["in_force"] = frame["in_force"].eq(True)
    curves: dict[Any, pd.DataFrame] = dict(iter(points.groupby(CURVE, sort=False)))
    frame["torque_read_nm"] = frame["torque_read_nm"].mask(_worked_out(frame, points))
    found: dict[str, Any] = {
        "torque_nm": np.full(len(frame), np.nan),
        "floor_torque_nm": np.full(len(frame), np.nan),
        "ceiling_torque_nm": np.full(len(frame), np.nan),
        "range": np.full(len(frame), "none", dtype=object),
        "curve_pressure_kpa": np.full(len(frame), np.nan),
        "curve_pressure_kind": np.full(len(frame), "", dtype=object),
        "kinds_differ": np.full(len(frame), False),
    }
    for key, rows in frame.groupby(CURVE, sort=False).indices.items():
        curve = curves.get(key)
        if curve is None:
            continue
        kinds = pressure_kinds.basis(frame.iloc[rows], curve)
        for kind in dict.fromkeys(kinds):
            own = rows[kinds == kind]
            for name, values in _through_curve(frame.iloc[own], curve, kind).items():
                found[name][own] = values
    frame = frame.assign(**found)
    return frame.assign(no_torque_because=_no_torque_because(frame, curves))


def _worked_out(readings: pd.DataFrame, points: pd.DataFrame) -> pd.Series:
    """Where a torque stands beside a pressure that has a curve: somebody worked it out from it.

    The pressure is what the instrument showed, so its curve gives the torque.
    """
    both: pd.Series = readings["pressure_kpa"].notna() & readings["torque_read_nm"].notna()
    if both.any():
        of_pressure = points.loc[points["point_pressure_kpa"].notna(), CURVE].drop_duplicates()
        places = pd.MultiIndex.from_frame(readings.loc[both, CURVE])
        both = both.mask(both, places.isin(pd.MultiIndex.from_frame(of_pressure)))
    return both


def _no_torque_because(readings: pd.DataFrame, curves: dict[Any, pd.DataFrame]) -> pd.Series:
    """Why a reading has no place on a curve, in words; missing where it has one."""
    why = pd.Series(None, index=readings.index, dtype="str")
    bare = readings[readings["range"].eq("none")]
    if bare.empty:
        return why
    instrument, certificate = bare["instrument_id"], bare["certificate"]
    gear = ("gear " + bare["gear"] + " of ").where(bare["gear"].ne(""), "")
    drawn = pd.MultiIndex.from_tuples(list(curves), names=CURVE) if curves else None
    place = pd.MultiIndex.from_frame(bare[CURVE])
    has_points = place.isin(drawn) if drawn is not None else np.zeros(len(bare), dtype=bool)
    empty = bare["pressure_kpa"].isna() & bare["torque_read_nm"].isna()
    text = "a reading and the calibration points of " + instrument + " are of different kinds"
    no_points = "no calibration points are recorded for " + gear + instrument
    text = text.mask(bare["kinds_differ"], KINDS_DIFFER)
    text = text.mask(~has_points, no_points + ", certificate " + certificate)
    no_certificate = "no calibration certificate is recorded for " + instrument
    text = text.mask(certificate.isna(), no_certificate)
    text = text.mask(instrument.eq(""), "no instrument is recorded for a reading")
    text = text.mask(empty, "a reading gives neither pressure nor torque")
    return why.mask(readings["range"].eq("none"), text.reindex(readings.index))


def certificate_of_day(readings: pd.DataFrame, certificates: pd.DataFrame) -> pd.DataFrame:
    """One row per instrument and day: the certificate used and whether it is in force then.

    In force: the latest issued of those whose days hold the day. Otherwise the latest issued
    before the day, else the earliest of all, so that torque can still be shown.
    """
    days = readings[["instrument_id", "read_on"]].drop_duplicates().dropna()
    pairs = days.merge(certificates, on="instrument_id")
    day = pairs["read_on"]
    pairs["in_force"] = (pairs["valid_from_on"] <= day) & (day <= pairs["valid_to_on"])
    pairs["before"] = pairs["issued_on"] <= day
    pairs["age"] = (day - pairs["issued_on"]).abs()
    pairs = pairs.sort_values(
        ["in_force", "before", "age", "certificate"], ascending=[False, False, True, True]
    )
    best = pairs.drop_duplicates(["instrument_id", "read_on"])
    return best[["instrument_id", "read_on", "certificate", "in_force"]]


def _through_curve(rows: pd.DataFrame, curve: pd.DataFrame, kind: str) -> dict[str, np.ndarray]:
    """What the curve gives for ``rows``, compared as pressures of one kind."""
    curve = curve.sort_values("point_torque_nm")
    points_nm = curve["point_torque_nm"].to_numpy(dtype=float)
    points_kpa = pressure_kinds.points_on(kind, curve)
    pressure = pressure_kinds.readings_on(kind, rows)
    read = rows["torque_read_nm"].to_numpy(dtype=float)
    by_pressure = np.isnan(read) & ~np.isnan(points_kpa).any()
    measured = np.where(by_pressure, pressure, read)
    lowest = np.where(by_pressure, points_kpa[0], points_nm[0])
    highest = np.where(by_pressure, points_kpa[-1], points_nm[-1])
    within = (measured >= lowest) & (measured <= highest)
    torque = np.where(
        by_pressure, formulas.calibrated_torque(pressure, points_kpa, points_nm), read
    )
    torque = np.where(within, torque, np.nan)
    above, below = measured > highest, measured < lowest
    pressed = np.isnan(read) & rows["pressure_kpa"].notna().to_numpy()
    differ = np.isnan(pressure) | np.isnan(points_kpa).any()
    return {
        "torque_nm": torque,
        "floor_torque_nm": np.where(above, points_nm[-1], torque),
        "ceiling_torque_nm": np.where(below, points_nm[0], np.nan),
        "range": np.select([within, above, below], ["in", "above", "below"], "none"),
        "curve_pressure_kpa": pressure,
        "curve_pressure_kind": np.full(len(rows), kind),
        "kinds_differ": pressed & differ & bool(curve["point_pressure_kpa"].notna().all()),
    }
