"""Which readings stand and count, and the torque measures of every pile.

Frames in, frames out. What a criterion asks for arrives as plain columns (window length, interval);
whether a number is good enough is decided elsewhere.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from core.compute import torque as formulas
from core.compute.measures import disturbance, final_readings

WINDOW_NUMBERS = (
    "final_torque_nm",
    "floor_final_torque_nm",
    "last_torque_nm",
    "floor_last_torque_nm",
    "torque_without_greatest_nm",
    "floor_torque_without_greatest_nm",
    "drop_share",
)
_OF_PILE = ["toe_mm", "predrilled_length_mm"]  # a reading's run has its own; the pile's holds
_WINDOW = ["toe_mm", "window_mm", "interval_tolerance_mm"]
_ASKED = [*dict.fromkeys([*_OF_PILE, *_WINDOW, "void_to_mm", "toe_reading_mm"])]


def with_standing(
    readings: pd.DataFrame, piles: pd.DataFrame, reach: pd.DataFrame, stops: pd.DataFrame
) -> pd.DataFrame:
    """``readings`` with standing, counts and in_window; ``reach`` comes of ``disturbance.reach``.

    Standing: the latest advancing run over that depth of that pile, not a missed reading, and of
    header and log at one toe the lower. ``superseded``: the other of these two.
    Counts: standing, measured, below the pre-drilled length, and clear of ground that a stop or
    reverse turning has disturbed; ``not_counted_because`` says which of these a standing reading
    is not. Rows stand in the order pile, depth.
    """
    codes, names = pd.factorize(readings["pile_id"], sort=True)
    order = np.lexsort((readings["run_order"], readings["depth_mm"], codes))
    frame = readings.take(order).reset_index(drop=True)
    asked = piles.set_index("pile_id")[_ASKED].reindex(names).take(codes[order])
    frame = frame.drop(columns=_OF_PILE, errors="ignore")
    frame = frame.assign(**{name: asked[name].array for name in _OF_PILE})
    usable = frame["direction"].ne("reversed") & frame["flag"].ne("missed")
    usable &= ~disturbance.gone_over_again(frame, reach)
    frame["superseded"] = final_readings.superseded(frame, pd.Series(asked["toe_reading_mm"].array))
    usable &= ~frame["superseded"]
    latest = ~frame[usable].duplicated(["pile_id", "depth_mm"], keep="last")
    frame["standing"] = latest.reindex(frame.index, fill_value=False).to_numpy(dtype=bool)
    depth = frame["depth_mm"].to_numpy(dtype=float)
    idle = {
        "it is estimated": frame["flag"].eq("estimated"),
        "it lies in the pre-drilled length": pd.Series(
            depth <= frame["predrilled_length_mm"].fillna(0).to_numpy(dtype=float)
        ),
        "it lies in disturbed ground": pd.Series(depth < asked["void_to_mm"].to_numpy(dtype=float)),
        "it follows a long stop too closely": disturbance.read_after_a_stop(frame, stops),
    }
    void = np.logical_or.reduce([part.to_numpy(dtype=bool) for part in idle.values()])
    frame["counts"] = frame["standing"] & ~void
    because = pd.Series(None, index=frame.index, dtype="str")
    for words, applies in reversed(idle.items()) if void.any() else ():
        because = because.mask(applies.to_numpy(dtype=bool) & frame["standing"], words)
    frame["not_counted_because"] = because
    inside = formulas.in_final_window(
        depth, *(asked[name].to_numpy(dtype=float) for name in _WINDOW)
    )
    return frame.assign(inside=inside, in_window=frame["standing"] & inside)


def torque_measures(profile: pd.DataFrame, piles: pd.DataFrame) -> pd.DataFrame:
    """One row per pile: final, last, without-the-greatest and greatest torque, drop, advance.

    ``piles`` gives pile_id, toe_mm, window_mm, interval_tolerance_mm, window_rule and pitch_mm.
    A window that holds a reading which does not count, or has no torque, gives NaN.
    """
    measures = piles.set_index("pile_id")[[]]
    every = profile[["pile_id", "torque_nm"]].assign(above=profile["range"].eq("above"))
    by_pile = every.groupby("pile_id")
    measures["greatest_torque_nm"] = by_pile["torque_nm"].max()
    measures["readings_above_range"] = by_pile["above"].sum()
    standing = profile[profile["standing"]]
    if len(standing):
        for name, column in (
            ("final_torque_nm", "torque_nm"),
            ("floor_final_torque_nm", "floor_torque_nm"),
        ):
            measures[name] = final_of(standing, column, piles)
    window = profile[profile["in_window"]]
    for prefix, column in (("", "torque_nm"), ("floor_", "floor_torque_nm")):
        measures = measures.join(_window_shape(window, column, prefix))
    logged = profile[
        profile["inside"] & (profile["standing"] | profile["superseded"]) & ~profile["of_header"]
    ]
    measures["advance_share"] = _advance(logged, piles)
    wanted = ["final_torque_nm", "floor_final_torque_nm"]
    return measures.reindex(columns=[*dict.fromkeys([*measures.columns, *wanted])])


def _counted(rows: pd.DataFrame, column: str) -> pd.Series:
    return rows[column].where(rows["counts"])


def final_of(standing: pd.DataFrame, column: str, piles: pd.DataFrame) -> pd.Series:
    """Mean of ``column`` in each pile's final window, by the pile's window rule."""
    known = standing[standing["pile_id"].isin(piles["pile_id"])]
    codes, names = pd.factorize(known["pile_id"])
    starts = np.flatnonzero(np.diff(codes, prepend=-1))
    if not len(starts):
        return pd.Series(dtype=float)
    asked = piles.set_index("pile_id").loc[names]
    arguments = (
        known["depth_mm"].to_numpy(dtype=float),
        _counted(known, column).to_numpy(dtype=float),
        starts,
        asked["toe_mm"].to_numpy(dtype=float),
        asked["window_mm"].to_numpy(dtype=float),
        asked["interval_tolerance_mm"].to_numpy(dtype=float),
    )
    weighted = (asked["window_rule"] == "length-weighted mean").to_numpy()
    values = formulas.final_torques(*arguments)
    if weighted.any():
        values = np.where(weighted, formulas.final_torques_by_length(*arguments), values)
    return pd.Series(values, index=names)


def _window_shape(window: pd.DataFrame, column: str, prefix: str) -> pd.DataFrame:
    torque = _counted(window, column)
    by_pile = torque.groupby(window["pile_id"], sort=False)
    number = window.groupby("pile_id", sort=False).size()
    complete = by_pile.count() == number
    greatest, total = by_pile.max(), by_pile.sum()
    last = torque.groupby(window["pile_id"], sort=False).nth(-1)
    last.index = window.loc[last.index, "pile_id"].to_numpy()
    rest = (total - greatest) / (number - 1).where(number > 1)
    shape = pd.DataFrame({f"{prefix}last_torque_nm": last})
    shape[f"{prefix}torque_without_greatest_nm"] = rest.where(complete)
    if not prefix:
        shape["drop_share"] = ((greatest - last) / greatest).where(complete)
        shape["readings_in_window"] = number
        shape["readings_not_counted"] = (~window["counts"]).groupby(window["pile_id"]).sum()
        for name in ("not_counted_because", "no_torque_because"):
            shape[name] = window.groupby("pile_id")[name].first()
        shape["readings_below_range"] = _number(window, "below")
        shape["window_above_range"] = _number(window, "above")
    return shape


def _number(window: pd.DataFrame, place: str) -> pd.Series:
    return window["range"].eq(place).groupby(window["pile_id"]).sum()


def _advance(window: pd.DataFrame, piles: pd.DataFrame) -> pd.Series:
    asked = piles.set_index("pile_id")
    advance = window["advance_mm_per_turn"]
    every = advance.notna().groupby(window["pile_id"]).all()
    least = advance.groupby(window["pile_id"]).min().where(every).reindex(asked.index)
    least = least.fillna(asked["run_advance_mm_per_turn"])
    ratio: pd.Series = formulas.advance_ratio(least, 1, asked["pitch_mm"])
    return ratio


def gap_measures(profile: pd.DataFrame, piles: pd.DataFrame) -> pd.DataFrame:
    """One row per pile: greatest distance between standing readings in and above the window.

    Distances run from the pre-drilled length (or the ground) to the first reading, between
    readings, and from the last reading to the recorded toe. A distance that reaches into the
    final window counts as in it.
    """
    asked = piles[piles["toe_mm"].notna() & piles["pile_id"].notna()]
    profile = profile[profile["standing"] | profile["superseded"]]
    toe, window, tolerance, predrilled = (
        asked[name].to_numpy(dtype=float, na_value=np.nan)
        for name in (*_WINDOW, "predrilled_length_mm")
    )
    at = pd.Index(asked["pile_id"]).get_indexer(profile["pile_id"])
    depth = profile["depth_mm"].to_numpy(dtype=float)
    held = at >= 0
    held[held] = depth[held] <= (toe + np.nan_to_num(tolerance))[at[held]]
    depth = np.concatenate([np.minimum(depth[held], toe[at[held]]), toe])
    at = np.concatenate([at[held], np.arange(len(asked))])
    order = np.lexsort((depth, at))
    at, depth = at[order], depth[order]
    first = np.diff(at, prepend=-1) != 0
    above = np.where(first, np.nan_to_num(predrilled)[at], np.roll(depth, 1))
    inside = depth > (toe - np.nan_to_num(window) + np.nan_to_num(tolerance))[at]
    gaps = pd.DataFrame({"at": at, "distance": depth - above})
    greatest = {
        "window_gap_mm": gaps[inside].groupby("at")["distance"].max(),
        "upper_gap_mm": gaps[~inside].groupby("at")["distance"].max(),
    }
    found = pd.DataFrame(greatest, index=range(len(asked))).set_axis(asked["pile_id"])
    return found.reindex(piles["pile_id"].dropna())


def reading_counts(profile: pd.DataFrame) -> pd.DataFrame:
    """One row per pile: its readings, those out of force and without a curve, and the deepest."""
    bare = profile["range"].eq("none") & profile["flag"].ne("missed")
    told = {
        "readings": pd.Series(1, index=profile.index),
        "readings_out_of_force": ~profile["in_force"],
        "readings_without_curve": bare,
        "window_without_curve": bare & profile["in_window"],
        "deepest_reading_mm": profile["depth_mm"].astype(float).where(profile["standing"]),
    }
    by_pile = pd.DataFrame(told).groupby(profile["pile_id"])
    counts = by_pile.agg({**dict.fromkeys(told, "sum"), "deepest_reading_mm": "max"})
    why = profile.loc[bare].groupby("pile_id")["no_torque_because"].first()
    return counts.assign(any_no_torque_because=why)


def toe_distances(profile: pd.DataFrame, piles: pd.DataFrame) -> pd.DataFrame:
    """One row per pile: how far above the recorded toe the last reading that counts lies."""
    counting = profile[profile["in_window"] & profile["counts"]]
    deepest = counting.groupby("pile_id")["depth_mm"].max().astype(float)
    toe = piles.set_index("pile_id")["toe_mm"].astype(float)
    return pd.DataFrame({"toe_distance_mm": (toe - deepest.reindex(toe.index)).clip(lower=0)})


def without_open_windows(measures: pd.DataFrame) -> pd.DataFrame:
    """``measures`` without the numbers of windows that are not whole.

    A window is not whole when it holds a gap wider than the interval allows, when no reading that
    counts lies at the toe, or when one lies deeper than the recorded toe at which it ends. Asks
    for interval_mm, gap_tolerance_mm, interval_tolerance_mm and toe_reading_mm, NaN where the
    project sets none.
    """
    widest = measures["interval_mm"] + measures["gap_tolerance_mm"]
    below = measures["deepest_reading_mm"] - measures["toe_mm"]
    beyond = below > measures["interval_tolerance_mm"].fillna(0.0)
    short = measures["toe_distance_mm"] > measures["toe_reading_mm"]
    broken = (measures["window_gap_mm"] > widest) | beyond | short
    names = [name for name in WINDOW_NUMBERS if name in measures]
    return measures.assign(**{name: measures[name].mask(broken) for name in names})
