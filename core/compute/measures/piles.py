"""Lengths and embedment of every pile, and which piles there are."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from core import units
from core.compute import piles as lengths


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
            "last_run_no": last["run_no"],
            "rig": last["rig"],
            "run_advance_mm_per_turn": last["advance_mm_per_turn"],
            "predrilled_length_mm": by_pile["predrilled_length_mm"].max().astype(float),
            "first_disc_depth_mm": by_pile["first_disc_depth_mm"].min().astype(float),
            "runs": by_pile.size(),
            "run_ground_level_m": last["ground_level_m"],
        }
    )
    return frame.reset_index()


def embedments(piles: pd.DataFrame) -> pd.DataFrame:
    """One row per pile: length in ground and embedment by the measure the criterion names.

    ``piles`` gives toe_mm, levels of ground, finished grade and scour, batter_deg, element,
    predrilled_length_mm, top_helix_above_toe_mm, failure_surface_depth_mm, embedment_measure.
    """
    ground = piles["run_ground_level_m"].fillna(piles["ground_level_m"])
    others = piles[["finished_grade_level_m", "scour_level_m"]].min(axis=1)
    lowest = pd.concat([ground, others], axis=1).min(axis=1)
    # Without the ground's level nobody knows how far the other levels lie below it.
    lost = ((ground - lowest) * units.factor("m", "mm")).mask(others.isna(), 0.0)
    upright = piles["batter_deg"].isna() & piles["element"].ne("helical anchor")
    batter = piles["batter_deg"].mask(upright, 0.0)
    along = lengths.embedment_along_axis(
        piles["toe_mm"],
        lost,
        piles["predrilled_length_mm"].fillna(0.0),
        batter.mask(lost.eq(0), 0.0),
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


def pile_list(schedule: pd.DataFrame, piles: pd.DataFrame, worked: pd.Series) -> pd.DataFrame:
    """One row per pile, and one per position in force that no pile serves (pile_id missing).

    ``worked`` holds the numbers of piles on which work is recorded. One that no pile record
    names serves the position of its own number.
    """
    columns = ["pile_id", "position_id", "replaces", "duty", "instruction"]
    columns += ["instructed_easting_m", "instructed_northing_m"]
    named = piles[columns]
    numbers = worked[~worked.isin(named["pile_id"])].drop_duplicates()
    own = pd.DataFrame({"pile_id": numbers, "position_id": numbers})
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
