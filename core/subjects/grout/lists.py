"""Grout mixed, placed and sampled: by batch, by day of work, by sample group.

Whether that is often, fresh or strong enough is decided elsewhere.
"""

from __future__ import annotations

import pandas as pd

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
