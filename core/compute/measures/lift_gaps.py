"""Depths of the toe that no lift of grout covers, from where the column begins to the toe."""

from __future__ import annotations

import numpy as np
import pandas as pd

from core.compute import grout as formulas
from core.compute.measures.grout import (
    NO_DISC,
    OF_COLUMN,
    VOLUMES,
    column_begins,
    lift_names,
)

COLUMNS = ["pile_id", "gap_from_mm", "gap_to_mm", "lift_above", "lift_below"]
NO_LIFT = "no lift recorded"
NO_TOE = "the depth of the toe is not recorded"
NO_COLUMN = "the first disc is recorded at the toe or below it, so nothing is left to grout"


def lift_gaps(placed: pd.DataFrame, piles: pd.DataFrame) -> pd.DataFrame:
    """One row per gap of a pile of ``piles`` with placements, from the top down: ``COLUMNS``.

    A gap is a stretch of toe depths in which no placement put grout, between where the column
    begins (``column_begins``, else the ground) and the recorded toe; each may be a millimetre long.
    ``placed`` come of ``grout.in_toe_depths``. Each placement counts with its own depths, so that a
    lift is no longer than its batches; a placement of equal depths or without any grout covers
    nothing. ``lift_above`` and ``lift_below`` name the lifts next to the gap, empty at an end.
    """
    known = placed[placed["pile_id"].isin(piles["pile_id"])]
    ends = _ends(known, piles)
    covering = known[_covers(known)].sort_values(["pile_id", "from_mm", "to_mm"], kind="stable")
    rows = pd.DataFrame(
        {
            "pile_id": covering["pile_id"],
            "from_mm": covering["from_mm"].astype(float),
            "to_mm": covering["to_mm"].astype(float),
            "lift": lift_names(covering),
        }
    )
    # The toe closes the list of a pile like one more lift.
    toes = pd.DataFrame(
        {"pile_id": ends["pile_id"], "from_mm": ends["toe_mm"], "to_mm": ends["toe_mm"], "lift": ""}
    )
    rows = pd.concat([rows, toes], ignore_index=True).sort_values("pile_id", kind="stable")
    rows = rows.reset_index(drop=True)
    pile, own = rows["pile_id"], ends.set_index("pile_id").reindex(rows["pile_id"])
    reach = rows["to_mm"].groupby(pile).cummax()
    deepest = rows["lift"].where(rows["to_mm"].eq(reach)).groupby(pile).ffill()
    before = reach.groupby(pile).shift()
    top = np.fmax(before.to_numpy(), own["begins_mm"].to_numpy())
    gaps = pd.DataFrame(
        {
            "pile_id": pile,
            "gap_from_mm": top,
            "gap_to_mm": np.minimum(rows["from_mm"].to_numpy(), own["toe_mm"].to_numpy()),
            "lift_above": deepest.groupby(pile).shift().fillna(""),
            "lift_below": rows["lift"],
        }
    )
    return gaps[gaps["gap_to_mm"] > gaps["gap_from_mm"]].reset_index(drop=True)[COLUMNS]


def _ends(placed: pd.DataFrame, piles: pd.DataFrame) -> pd.DataFrame:
    """Where grout has to begin and to end on each pile with placements: begins_mm, toe_mm.

    Where nothing says where the column begins (``begins_known``) it begins at the ground.
    """
    own = piles.loc[piles["pile_id"].isin(placed["pile_id"]), ["pile_id", *OF_COLUMN]]
    begins, toe = column_begins(own), own["toe_mm"].astype(float)
    return own.assign(begins_mm=begins.fillna(0.0), begins_known=begins.notna(), toe_mm=toe)


def _covers(placed: pd.DataFrame) -> pd.Series:
    """Whether a placement put grout in while the toe went down; unknown waste does not deny it."""
    net = formulas.net_volume(*(placed[name] for name in VOLUMES))
    some = placed["batched_l"].gt(0) & ~net.le(0)
    covers: pd.Series = some & (placed["to_mm"] > placed["from_mm"])
    return covers


def gap_measures(placed: pd.DataFrame, piles: pd.DataFrame) -> pd.DataFrame:
    """One row per pile of ``piles`` with placements: its widest gap between lifts.

    lift_gap_mm is 0 where lifts follow each other to the toe, and unknown where the toe is.
    ``lift_gap_missing`` says what is not recorded: the toe, or where the column begins, so that it
    is taken to begin at the ground. lift_above_gap and lift_below_gap name the lifts beside it.
    """
    gaps = lift_gaps(placed, piles)
    gaps = gaps.assign(length_mm=gaps["gap_to_mm"] - gaps["gap_from_mm"])
    widest = gaps.loc[gaps.groupby("pile_id")["length_mm"].idxmax()].set_index("pile_id")
    ends = _ends(placed, piles).set_index("pile_id")
    none = ends["toe_mm"].isna() | (ends["begins_mm"] >= ends["toe_mm"])
    beside = widest.reindex(ends.index)
    missing = pd.Series("", index=ends.index).mask(~ends["begins_known"], NO_DISC)
    missing = missing.mask(none, NO_COLUMN).mask(ends["toe_mm"].isna(), NO_TOE)
    return pd.DataFrame(
        {
            "lift_gap_mm": beside["length_mm"].astype(float).fillna(0.0).mask(none),
            "lift_gap_missing": missing,
            "lift_above_gap": beside["lift_above"].fillna(""),
            "lift_below_gap": beside["lift_below"].fillna(""),
        }
    )


def with_gaps(lifts: pd.DataFrame, gaps: pd.DataFrame) -> pd.DataFrame:
    """``lifts`` with a row per gap: its depths, an empty lift_no and no numbers.

    The lifts of a pile stand in the order of the work; a gap stands before the lift below it, else
    at the end of its pile.
    """
    if gaps.empty:
        return lifts
    place = pd.Series(np.arange(len(lifts), dtype=float))
    of_lift = place.set_axis(pd.MultiIndex.from_arrays([lifts["pile_id"], lift_names(lifts)]))
    below = of_lift.reindex(pd.MultiIndex.from_frame(gaps[["pile_id", "lift_below"]])).to_numpy()
    last = gaps["pile_id"].map(place.groupby(lifts["pile_id"].to_numpy()).max()).to_numpy()
    # Between two whole places, and gaps before one lift in their own order.
    at = np.where(np.isnan(below), last, below - 1) + np.linspace(0.25, 0.75, len(gaps))
    frame = lifts.set_axis(place.to_numpy()).reindex(np.sort(np.concatenate([place, at])))
    frame.loc[at, "pile_id"] = gaps["pile_id"].to_numpy()
    frame.loc[at, ["from_mm", "to_mm"]] = gaps[["gap_from_mm", "gap_to_mm"]].to_numpy()
    frame.loc[at, "lift_no"] = ""
    if "missing" in frame:
        frame.loc[at, "missing"] = NO_LIFT
    return frame.reset_index(drop=True)
