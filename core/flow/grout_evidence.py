"""Which rows of the ledger the measures of grout rest on."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import pandas as pd

from core.compute.measures.grout import lift_names
from core.compute.selection import grout_placements, schedule_in_force
from core.flow.cited_rows import PLACE, Cited, of_frame
from core.flow.measuring import Measured
from core.flow.snapshot import Snapshot


def rows_of_grout(numbers: Measured, known: Snapshot) -> list[Cited]:
    """Placements, batches, specimens and runs."""
    piles, all_runs = numbers.piles, numbers.runs

    @cache
    def placed() -> pd.DataFrame:
        placements = known.select(grout_placements)
        return placements[placements["run_order"].notna()]

    def lost() -> pd.DataFrame:
        placements = known.select(grout_placements)
        return placements[placements["run_order"].isna()]

    def batches() -> pd.DataFrame:
        of_lift = placed()[["pile_id", "batch_id"]].drop_duplicates()
        return of_lift.merge(known.frame("grout_batch"))

    def runs() -> pd.DataFrame:
        return all_runs[all_runs["pile_id"].isin(placed()["pile_id"])]

    def taken() -> pd.DataFrame:
        members = numbers.sampled[["sample_group_id", "pile_id"]]
        return members.merge(numbers.specimens, on="sample_group_id")

    def lengths() -> pd.DataFrame:
        planned = piles[piles["schedule_grouted_length_mm"].notna()]
        schedule = known.select(schedule_in_force)
        return planned[["pile_id", "position_id"]].merge(schedule, on="position_id")

    placement, groups = "grout_placement", ["sample_groups", "grout_strength_mpa"]
    return [
        of_frame(placement, ["net_grout_l", "level_drop_mm", "turned_h"], placed),
        of_frame(placement, ["least_lift_ratio"], lambda: _worst_lift(placed(), piles)),
        of_frame(placement, ["lift_gap_mm"], lambda: _beside_gap(placed(), piles)),
        of_frame("run", ["lift_gap_mm"], runs),
        of_frame("schedule", ["lift_gap_mm"], lengths),
        of_frame(placement, ["batch_age_h"], lambda: _oldest(placed(), piles)),
        of_frame("grout_batch", ["batch_age_h"], lambda: _oldest(batches(), piles)),
        of_frame("grout_batch", ["batches"], batches),
        of_frame("run", ["net_grout_l", "turned_h"], runs),
        of_frame("sample_group_member", groups, lambda: numbers.sampled),
        of_frame("grout_specimen", groups, taken),
        *_of_neighbours(piles, all_runs, placed),
        of_frame(placement, ["lost_grout"], lost),
    ]  # fmt: skip


def _of_neighbours(
    piles: pd.DataFrame, runs: pd.DataFrame, placed: Callable[[], pd.DataFrame]
) -> list[Cited]:
    """Runs of piles made near fresh grout, and the placements of the pile beside them."""

    def near() -> pd.DataFrame:
        return piles.loc[piles["fresh_neighbour"].notna(), ["pile_id", "fresh_neighbour"]]

    def own() -> pd.DataFrame:
        return runs[runs["pile_id"].isin(near()["pile_id"])]

    def beside() -> pd.DataFrame:
        return near().merge(
            placed()[["pile_id", *PLACE]], left_on="fresh_neighbour", right_on="pile_id",
            suffixes=("", "_of_neighbour"),
        )  # fmt: skip

    return [
        of_frame("run", ["fresh_h"], own),
        of_frame("grout_placement", ["fresh_h"], beside),
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
