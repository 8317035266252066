"""Frames of grout for lists: takes of piles and groups, samples, days."""

from __future__ import annotations

import numpy as np
import pandas as pd

from core.formulas import grout as formulas
from core.subjects.frames import MIN_GROUP_PILES, with_group

# Fences of Tukey, Exploratory Data Analysis (1977), from memory: quartiles and 1.5 of their range.
QUARTILES = (0.25, 0.75)
REACH = 1.5
NO_LIFT = "no lift recorded"
AT_THE_TOE = "at the toe, below its last lift"
THINNEST = {
    "thin_from_mm": "from_mm",
    "thin_to_mm": "to_mm",
    "thin_net_l": "net_l",
    "thin_void_l": "void_l",
    "thin_resolution_l": "resolution_l",
    "thin_step_ratio": "step_ratio",
    "thin_how_measured": "how_measured",
    "thin_batches": "batches",
}


def grouted_piles(piles: pd.DataFrame, lifts: pd.DataFrame) -> pd.DataFrame:
    """Piles of grouted types, and others with lifts, each with its thinnest lift and its group.

    ``thin_...`` are of the lift with the minimum ratio, ``thin_step_ratio`` what one step of its
    measurement is worth. ``lift_of_min_cumulative_ratio``: where the cumulative ratio is minimum.
    ``unlike``: its minimum ratio lies beyond the fences of its group.
    """
    placed = piles["pile_id"].isin(lifts["pile_id"])
    frame = with_group(piles[piles["grouted"].eq(True) | placed]).reset_index(drop=True).copy()
    steps = formulas.take_ratio(lifts["resolution_l"], lifts["void_l"].where(lifts["void_l"] > 0))
    known = lifts.assign(step_ratio=steps)[lifts["take_ratio"].notna()]
    thin = known.loc[known.groupby("pile_id")["take_ratio"].idxmin()].set_index("pile_id")
    beside = thin.reindex(frame["pile_id"]).set_index(frame.index)
    frame = frame.assign(**{name: beside[source] for name, source in THINNEST.items()})
    minimum = lifts.groupby("pile_id")["cumulative_ratio"].min()
    minimum = minimum.reindex(frame["pile_id"]).set_axis(frame.index)
    at_toe = frame["take_ratio"].notna() & ~(frame["take_ratio"] >= minimum)
    frame["lift_of_min_cumulative_ratio"] = (
        frame["lift_of_min_cumulative_ratio"].astype("str").fillna("").mask(at_toe, AT_THE_TOE)
    )
    last = lifts.groupby("pile_id")["placed_on"].max()
    frame["placed_on"] = last.reindex(frame["pile_id"]).to_numpy()
    return frame.assign(unlike=beyond_fences(frame["min_lift_ratio"], frame["group"]))


def beyond_fences(values: pd.Series, group: pd.Series) -> pd.Series:
    """Whether a value lies far outside the middle half of its group, if that has enough piles."""
    by_group = values.groupby(group)
    low, high = (group.map(by_group.quantile(one)).astype(float) for one in QUARTILES)
    reach = REACH * (high - low)
    outside = (values < low - reach) | (values > high + reach)
    beyond: pd.Series = outside & (group.map(by_group.count()).astype(float) >= MIN_GROUP_PILES)
    return beyond


def lift_points(lifts: pd.DataFrame, piles: pd.DataFrame, gaps: pd.DataFrame) -> pd.DataFrame:
    """Lifts in the order pile, work, with group and reach_mm; ``where`` names the lift.

    ``reach_mm`` is the deepest toe so far. A pile whose toe is deeper than its last lift has one
    more row for the void below that lift, without a ratio of its own. Each of ``gaps`` that lies
    between two lifts has a row without any number. ``piles`` come of ``grouted_piles``.
    """
    reach = lifts["to_mm"].groupby(lifts["pile_id"]).cummax()
    rows = lifts.assign(reach_mm=reach, where=_lift_names(lifts))
    between = gaps[gaps["lift_above"].ne("") & gaps["lift_below"].ne("")]
    rows = with_gaps(rows, between)
    rows["where"] = rows["where"].fillna(NO_LIFT)
    deepest = reach.groupby(lifts["pile_id"]).max().reindex(piles["pile_id"]).to_numpy(dtype=float)
    deeper = piles[piles["toe_mm"] > deepest]
    tails = pd.DataFrame(
        {
            "pile_id": deeper["pile_id"],
            "from_mm": np.nan,
            "to_mm": deeper["toe_mm"].astype(float),
            "reach_mm": deeper["toe_mm"].astype(float),
            "take_ratio": np.nan,
            "cumulative_net_l": deeper["net_grout_l"],
            "cumulative_void_l": deeper["void_l"],
            "cumulative_ratio": deeper["take_ratio"],
            "where": AT_THE_TOE,
        }
    )
    frame = pd.concat([rows, tails], ignore_index=True) if len(tails) else rows
    homes = piles.drop_duplicates("pile_id").set_index("pile_id")["group"]
    frame = frame.assign(group=frame["pile_id"].map(homes))
    return frame.sort_values("pile_id", kind="stable").reset_index(drop=True)


def takes_by_group(piles: pd.DataFrame) -> pd.DataFrame:
    """One row per group: its piles, net grout over void of those where both are known, the minimum.

    ``piles`` come of ``grouted_piles``. ``piles_unknown`` have lifts but no ratio.
    """
    known = piles["take_ratio"].notna()
    by_group = piles["group"]
    net = piles["net_grout_l"].where(known).groupby(by_group).sum(min_count=1)
    void = piles["void_l"].where(known).groupby(by_group).sum(min_count=1)
    frame = pd.DataFrame(
        {
            "piles": piles.groupby("group").size(),
            "piles_placed": piles["lifts"].gt(0).groupby(by_group).sum(),
            "piles_unknown": (piles["lifts"].gt(0) & ~known).groupby(by_group).sum(),
            "net_grout_l": net,
            "void_l": void,
            "take_ratio": formulas.take_ratio(net, void.where(void > 0)),
            "min_cumulative_ratio": piles.groupby("group")["min_cumulative_ratio"].min(),
            "min_lift_ratio": piles.groupby("group")["min_lift_ratio"].min(),
        }
    )
    return frame.reset_index()


def with_gaps(lifts: pd.DataFrame, gaps: pd.DataFrame) -> pd.DataFrame:
    """``lifts`` with a row per gap: its depths, an empty lift_no and no numbers.

    The lifts of a pile stand in the order of the work; a gap stands before the lift below it, else
    at the end of its pile.
    """
    if gaps.empty:
        return lifts
    place = pd.Series(np.arange(len(lifts), dtype=float))
    of_lift = place.set_axis(pd.MultiIndex.from_arrays([lifts["pile_id"], _lift_names(lifts)]))
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


def _lift_names(rows: pd.DataFrame) -> pd.Series:
    """The lift of each row in words, by which measures and notes name it."""
    names: pd.Series = "lift " + rows["lift_no"] + " of run " + rows["run_no"]
    return names


BATCH = ["batch_id", "mixed_on", "mixed_at", "mix", "density_kg_m3", "flow_s", "volume_l"]


def used_batches(batches: pd.DataFrame, placed: pd.DataFrame) -> pd.DataFrame:
    """One row per batch mixed or placed: its numbers, the piles it touches, its maximum age.

    ``placed``: what each batch gave to each lift, with its age when that ended. ``batch_age_h`` is
    the maximum age when a placement ended, unknown while a time of one is.
    """
    by_batch = placed.groupby("batch_id")
    age = by_batch["batch_age_h"]
    used = pd.DataFrame(
        {
            "piles": by_batch["pile_id"].nunique(),
            "pile_ids": joined(placed, ["batch_id"], "pile_id"),
            "batched_l": by_batch["batched_l"].sum(min_count=1),
            "batch_age_h": age.max().where(age.count() == by_batch.size()),
        }
    )
    used = used.rename_axis("batch_id").reset_index()
    frame = batches[BATCH].merge(used, on="batch_id", how="outer")
    frame["piles"] = frame["piles"].fillna(0).astype("int64")
    frame["pile_ids"] = frame["pile_ids"].astype("str").fillna("")
    order = ["mixed_on", "mixed_at", "batch_id"]
    return frame.sort_values(order, kind="stable", na_position="first").reset_index(drop=True)


def days(placed: pd.DataFrame, specimens: pd.DataFrame, sampled: pd.DataFrame) -> pd.DataFrame:
    """One row per day with placements or specimens taken, the latest first.

    ``groups`` and ``specimens`` are those taken on the day; ``without_group`` the piles placed on
    it that no sample group stands for at all.
    """
    day = placed["placed_on"].fillna(placed["run_on"])
    rows = placed.assign(day=day)
    bare = rows[~rows["pile_id"].isin(sampled["pile_id"])]
    taken = specimens.rename(columns={"taken_on": "day"})
    frame = pd.DataFrame(
        {
            "piles": rows.groupby("day")["pile_id"].nunique(),
            "batches": rows.groupby("day")["batch_id"].nunique(),
            "batched_l": rows.groupby("day")["batched_l"].sum(min_count=1),
            "groups": taken.groupby("day")["sample_group_id"].nunique(),
            "group_ids": joined(taken, ["day"], "sample_group_id"),
            "specimens": taken.groupby("day").size(),
            "without_group": bare.groupby("day")["pile_id"].nunique(),
            "pile_ids": joined(rows, ["day"], "pile_id"),
        }
    )
    counts = ["piles", "batches", "groups", "specimens", "without_group"]
    frame[counts] = frame[counts].fillna(0).astype("int64")
    texts = ["group_ids", "pile_ids"]
    frame[texts] = frame[texts].astype("str").fillna("")
    return frame.sort_index(ascending=False).rename_axis("day").reset_index()


def sample_groups(specimens: pd.DataFrame, sampled: pd.DataFrame, on: pd.Timestamp) -> pd.DataFrame:
    """One row per sample group: when it was taken, its piles, its specimens, what it waits for.

    ``due_on`` is the day of the first result that is not in, ``overdue_days`` how long ago.
    """
    by_group = specimens.groupby("sample_group_id")
    waiting = specimens[specimens["strength_mpa"].isna()]
    key = ["sample_group_id"]
    frame = pd.DataFrame(
        {
            "taken_on": by_group["taken_on"].min(),
            "batches": joined(specimens[specimens["batch_id"].notna()], key, "batch_id"),
            "piles": sampled.groupby("sample_group_id")["pile_id"].nunique(),
            "pile_ids": joined(sampled, key, "pile_id"),
            "specimens": by_group.size(),
            "waiting": waiting.groupby("sample_group_id").size(),
            "due_on": waiting.groupby("sample_group_id")["due_on"].min(),
        }
    )
    counts = ["piles", "specimens", "waiting"]
    frame[counts] = frame[counts].fillna(0).astype("int64")
    texts = ["batches", "pile_ids"]
    frame[texts] = frame[texts].astype("str").fillna("")
    frame["overdue_days"] = (on - frame["due_on"]).dt.days.astype(float).clip(lower=0)
    return frame.rename_axis("sample_group_id").reset_index()


def strengths(specimens: pd.DataFrame) -> pd.DataFrame:
    """One row per sample group and age: specimens, how many are tested, their minimum strength."""
    by_age = specimens.groupby(["sample_group_id", "age_days"])
    return pd.DataFrame(
        {
            "specimens": by_age.size(),
            "tested": by_age["strength_mpa"].count(),
            "min_strength_mpa": by_age["strength_mpa"].min(),
            "due_on": by_age["due_on"].max(),
        }
    ).reset_index()


def joined(rows: pd.DataFrame, key: list[str], column: str) -> pd.Series:
    """The texts of ``column`` of each key in one, in their order, each once."""
    once = rows.drop_duplicates([*key, column])
    place = once.groupby(key, sort=False).cumcount()
    text = once[place.eq(0)].set_index(key)[column]
    for number in range(1, int(place.max() or 0) + 1 if len(place) else 0):
        more = once[place.eq(number)].set_index(key)[column].reindex(text.index)
        text = text + (", " + more).fillna("")
    return text
