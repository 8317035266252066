"""Lengths, embedment, disturbed ground and torque-derived resistance of every pile."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from core import units
from core.compute import piles as lengths
from core.compute import torque as formulas


def with_stops(runs: pd.DataFrame) -> pd.DataFrame:
    """``runs``, in the order of the work, with the hours since the pile's run before ended.

    Without times a stop lasts the days between.
    """
    by_pile = runs.groupby("pile_id", sort=False)
    timed = _hours(runs["started_at"] - by_pile["ended_at"].shift())
    dated = _hours(runs["run_on"] - by_pile["run_on"].shift())
    return runs.assign(hours_since_last_run=timed.fillna(dated))


def _hours(span: pd.Series) -> pd.Series:
    hours: pd.Series = span.dt.total_seconds() * units.factor("second", "hour")
    return hours


def pile_toes(runs: pd.DataFrame) -> pd.DataFrame:
    """One row per pile with a run: what its last run says and what its runs add up to."""
    by_pile = runs.groupby("pile_id", sort=False)
    last = by_pile.tail(1).set_index("pile_id")
    with_toe = runs[runs["toe_mm"].notna()].groupby("pile_id", sort=False).tail(1)
    toes = with_toe.set_index("pile_id")["toe_mm"].astype(float)
    frame = pd.DataFrame(
        {
            "toe_mm": toes.reindex(last.index),
            "stop_reason": last["stop_reason"],
            "run_on": last["run_on"],
            "rig": last["rig"],
            "run_advance_mm_per_turn": last["advance_mm_per_turn"],
            "predrilled_length_mm": by_pile["predrilled_length_mm"].max().astype(float),
            "first_disc_depth_mm": by_pile["first_disc_depth_mm"].min().astype(float),
            "runs": by_pile.size(),
            "run_ground_level_m": last["ground_level_m"],
        }
    )
    return frame.reset_index()


def disturbances(readings: pd.DataFrame, runs: pd.DataFrame, piles: pd.DataFrame) -> pd.DataFrame:
    """One row per pile: depths to which torque is void after reverse turning or a long stop.

    ``piles`` gives stop_h, stop_multiple, disturbed_multiple and largest_helix_mm. Columns:
    disturbed_toe_mm (earlier toe), void_to_mm; stop_from_mm (toe at the stop), stop_to_mm.
    """
    reach = readings.loc[readings["direction"].ne("reversed")]
    reach = reach.groupby(["pile_id", "run_no"])["depth_mm"].agg(["min", "max"]).reset_index()
    frame = runs.merge(reach, on=["pile_id", "run_no"], how="left")
    frame = frame.sort_values(["pile_id", "run_order"])
    deepest = frame[["toe_mm", "max"]].astype(float).max(axis=1)
    before = deepest.groupby(frame["pile_id"]).cummax().groupby(frame["pile_id"]).shift()
    again = frame["why"].eq("re-advanced") | (frame["min"].astype(float) < before)
    asked = piles.set_index("pile_id")
    disturbed = before.where(again).groupby(frame["pile_id"]).max()
    disturbed = pd.concat([disturbed, _reversed_toes(readings)], axis=1).max(axis=1)
    stopped = frame["hours_since_last_run"] > frame["pile_id"].map(asked["stop_h"]).astype(float)
    stop_from = before.where(stopped & ~again).groupby(frame["pile_id"]).max()
    result = pd.DataFrame(index=asked.index)
    result["disturbed_toe_mm"] = disturbed.reindex(result.index)
    result["void_to_mm"] = (
        result["disturbed_toe_mm"] + asked["disturbed_multiple"] * asked["largest_helix_mm"]
    )
    result["stop_from_mm"] = stop_from.reindex(result.index)
    result["stop_to_mm"] = (
        result["stop_from_mm"] + asked["stop_multiple"] * asked["largest_helix_mm"]
    )
    return result.reset_index()


def _reversed_toes(readings: pd.DataFrame) -> pd.Series:
    """Per pile, the greatest depth reached by the end of the last run that turned in reverse."""
    turned = readings.loc[readings["direction"].eq("reversed")]
    last = turned.groupby("pile_id")["run_order"].max()
    order = readings.loc[readings["pile_id"].isin(last.index)]
    order = order.assign(last_reversed=order["pile_id"].map(last).astype(float))
    # Within its own run a reverse turn is placed by its depth: deeper readings come after it.
    own = order["run_order"] == order["last_reversed"]
    deepest_turn = order["direction"].eq("reversed") & own
    turn_depth = order["depth_mm"].where(deepest_turn).groupby(order["pile_id"]).max()
    earlier = order["run_order"] < order["last_reversed"]
    earlier_depth = order["depth_mm"].where(earlier).groupby(order["pile_id"]).max()
    both = pd.concat([turn_depth.astype(float), earlier_depth.astype(float)], axis=1)
    return both.max(axis=1)


def embedments(piles: pd.DataFrame) -> pd.DataFrame:
    """One row per pile: length in ground and embedment by the measure the criterion names.

    ``piles`` gives toe_mm, levels of ground, finished grade and scour, batter_deg,
    predrilled_length_mm, top_helix_above_toe_mm, failure_surface_depth_mm, embedment_measure.
    """
    ground = piles["run_ground_level_m"].fillna(piles["ground_level_m"])
    lowest = pd.concat(
        [ground, piles["finished_grade_level_m"], piles["scour_level_m"]], axis=1
    ).min(axis=1)
    lost = ((ground - lowest) * units.factor("m", "mm")).fillna(0.0)
    batter = piles["batter_deg"].fillna(0.0)
    along = lengths.embedment_along_axis(
        piles["toe_mm"], lost, piles["predrilled_length_mm"].fillna(0.0), batter
    )
    cover = lengths.cover_over_helix(along, piles["top_helix_above_toe_mm"], batter)
    beyond = piles["toe_mm"] - piles["failure_surface_depth_mm"].astype(float)
    measure = piles["embedment_measure"]
    chosen = np.select(
        [
            measure.eq("along the axis"),
            measure.eq("vertical cover over the top helix"),
            measure.eq("beyond a failure surface"),
        ],
        [along, cover, beyond],
        np.nan,
    )
    return pd.DataFrame(
        {"pile_id": piles["pile_id"], "installed_mm": piles["toe_mm"], "embedment_mm": chosen}
    )


def matched_torque_factors(piles: pd.DataFrame, factors: pd.DataFrame) -> pd.DataFrame:
    """One row per pile: the row of the torque factor table that fits its case, or nothing.

    Fits: same section, direction and grout, and the same helix set and ground or ``any``;
    an exact word goes before ``any``. Two equally exact rows give none: the case is ambiguous.
    """
    case = ["section", "direction", "grouted"]
    cases = piles[["pile_id", *case, "helix_set", "ground_class"]]
    pairs = cases.merge(factors, on=case, suffixes=("", "_of_factor"))
    exact_set = pairs["helix_set"].eq(pairs["helix_set_of_factor"])
    exact_ground = pairs["ground_class"].eq(pairs["ground"])
    fits = (exact_set | pairs["helix_set_of_factor"].eq("any")) & (
        exact_ground | pairs["ground"].eq("any")
    )
    pairs = pairs.assign(exact=exact_set.astype(int) + exact_ground.astype(int))[fits]
    best = pairs[pairs["exact"] == pairs.groupby("pile_id")["exact"].transform("max")]
    best = best.drop_duplicates("pile_id", keep=False)
    renamed = {"id": "torque_factor_id", "source": "torque_factor_source"}
    best = best.rename(columns=renamed)
    return best[["pile_id", "torque_factor_per_m", *renamed.values()]]


def torque_requirements(piles: pd.DataFrame) -> pd.DataFrame:
    """One row per pile: required torque (printed governs), the computed one, rating, resistance.

    ``piles`` gives printed_torque_nm, load_kn, load_basis, safety_factor, torque_factor_per_m,
    final_torque_nm, schedule_rated_torque_nm and section_rated_torque_nm.
    """
    service = piles["load_basis"].eq("service")
    load_n = (piles["load_kn"] * units.factor("kN", "N")).where(service)
    computed = formulas.required_torque(
        load_n, piles["safety_factor"], piles["torque_factor_per_m"]
    )
    ratings = piles[["schedule_rated_torque_nm", "section_rated_torque_nm"]]
    implied = formulas.resistance(piles["final_torque_nm"], piles["torque_factor_per_m"])
    return pd.DataFrame(
        {
            "pile_id": piles["pile_id"],
            "required_torque_nm": piles["printed_torque_nm"].fillna(computed),
            "computed_torque_nm": computed,
            "rated_torque_nm": ratings.min(axis=1),
            "resistance_kn": implied * units.factor("N", "kN"),
        }
    )


def pile_list(schedule: pd.DataFrame, piles: pd.DataFrame, runs: pd.DataFrame) -> pd.DataFrame:
    """One row per pile, and one per position in force that no pile serves (pile_id missing).

    A run for a pile that no record names serves the position of the pile's own number.
    """
    columns = ["pile_id", "position_id", "replaces", "duty", "instruction"]
    columns += ["instructed_easting_m", "instructed_northing_m"]
    named = piles[columns]
    own = runs.loc[~runs["pile_id"].isin(named["pile_id"]), ["pile_id"]].drop_duplicates()
    own = own.assign(position_id=own["pile_id"])
    known = pd.concat([named, own], ignore_index=True)
    open_ = schedule.loc[~schedule["position_id"].isin(known["position_id"]), ["position_id"]]
    frame = pd.concat([known, open_], ignore_index=True)
    texts: Any = dict.fromkeys(columns[:5], "str")
    return frame.astype(texts)[columns]


def located(piles: pd.DataFrame) -> pd.DataFrame:
    """``piles`` at the instructed point where there is one, else at the design point."""
    return piles.assign(
        easting_m=piles["instructed_easting_m"].fillna(piles["easting_m"]),
        northing_m=piles["instructed_northing_m"].fillna(piles["northing_m"]),
    )
