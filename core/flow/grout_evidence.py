"""Which rows of the ledger the findings of grout rest on."""

from __future__ import annotations

import pandas as pd

from core.compute.measures.grout import lift_names
from core.compute.selection import grout_placements, schedule_in_force
from core.flow.citing import PLACE, cited
from core.flow.measuring import Measured
from core.flow.snapshot import Snapshot


def rows_of_grout(numbers: Measured, known: Snapshot) -> list[pd.DataFrame]:
    """One row per pile, measure and ledger row: placements, batches, specimens and runs."""
    piles, placements = numbers.piles, known.select(grout_placements)
    placed = placements[placements["run_order"].notna()]
    lost = placements[placements["run_order"].isna()]
    of_lift = placed[["pile_id", "batch_id"]].drop_duplicates()
    batches = of_lift.merge(known.frame("grout_batch"))
    runs = numbers.runs[numbers.runs["pile_id"].isin(placed["pile_id"])]
    members = numbers.sampled
    taken = members[["sample_group_id", "pile_id"]].merge(numbers.specimens, on="sample_group_id")
    near = piles.loc[piles["fresh_neighbour"].notna(), ["pile_id", "fresh_neighbour"]]
    beside = near.merge(
        placed[["pile_id", *PLACE]], left_on="fresh_neighbour", right_on="pile_id",
        suffixes=("", "_of_neighbour"),
    )  # fmt: skip
    own = numbers.runs[numbers.runs["pile_id"].isin(near["pile_id"])]
    planned = piles[piles["schedule_grouted_length_mm"].notna()]
    lengths = planned[["pile_id", "position_id"]].merge(
        known.select(schedule_in_force), on="position_id"
    )
    groups = ["sample_groups", "grout_strength_mpa"]
    return [
        cited(placed, "grout_placement", ["net_grout_l", "level_drop_mm", "turned_h"]),
        cited(_worst_lift(placed, piles), "grout_placement", ["least_lift_ratio"]),
        cited(_beside_gap(placed, piles), "grout_placement", ["lift_gap_mm"]),
        cited(runs, "run", ["lift_gap_mm"]),
        cited(lengths, "schedule", ["lift_gap_mm"]),
        cited(_oldest(placed, piles), "grout_placement", ["batch_age_h"]),
        cited(_oldest(batches, piles), "grout_batch", ["batch_age_h"]),
        cited(batches, "grout_batch", ["batches"]),
        cited(runs, "run", ["net_grout_l", "turned_h"]),
        cited(members, "sample_group_member", groups),
        cited(taken, "grout_specimen", groups),
        cited(own, "run", ["fresh_h"]),
        cited(beside, "grout_placement", ["fresh_h"]),
        cited(lost, "grout_placement", ["lost_grout"]),
    ]


def _worst_lift(placed: pd.DataFrame, piles: pd.DataFrame) -> pd.DataFrame:
    """Placements of the lift that each pile's least ratio comes from; all where none is known."""
    return _of_lifts(placed, piles, ["thinnest_lift"])


def _beside_gap(placed: pd.DataFrame, piles: pd.DataFrame) -> pd.DataFrame:
    """Placements of the lifts next to each pile's widest gap; all where there is none."""
    return _of_lifts(placed, piles, ["lift_above_gap", "lift_below_gap"])


def _of_lifts(placed: pd.DataFrame, piles: pd.DataFrame, names: list[str]) -> pd.DataFrame:
    """Placements of the lifts that the columns ``names`` of each pile name; all where none does."""
    own = lift_names(placed)
    lifts = piles.dropna(subset=["pile_id"]).set_index("pile_id")[names]
    named = [placed["pile_id"].map(lifts[name]).astype("str").fillna("") for name in names]
    none = pd.concat([name.eq("") for name in named], axis=1).all(axis=1)
    return placed[none | pd.concat([name.eq(own) for name in named], axis=1).any(axis=1)]


def _oldest(rows: pd.DataFrame, piles: pd.DataFrame) -> pd.DataFrame:
    """Rows of the batch that was oldest in each pile; all where no age is known."""
    oldest = rows["pile_id"].map(
        piles.dropna(subset=["pile_id"]).set_index("pile_id")["oldest_batch"]
    )
    return rows[oldest.isna() | rows["batch_id"].eq(oldest)]
