"""Specimens of grout, the groups that they stand for, and the strength of each pile's groups."""

from __future__ import annotations

import pandas as pd

from core.compute.measures.grout import joined


def specimens(found: pd.DataFrame, members: pd.DataFrame, on: pd.Timestamp) -> pd.DataFrame:
    """One row per specimen taken by ``on``, with the piles that its group stands for.

    due_on is the day of its age; a result counts from the day of its test on.
    """
    frame = found[found["taken_on"] <= on].reset_index(drop=True)
    known = frame["tested_on"] <= on
    frame["tested_on"] = frame["tested_on"].where(known)
    frame["strength_mpa"] = frame["strength_mpa"].where(known)
    frame["due_on"] = frame["taken_on"] + pd.to_timedelta(frame["age_days"], unit="D")
    frame["tested_age_days"] = (frame["tested_on"] - frame["taken_on"]).dt.days.astype(float)
    group = frame["sample_group_id"]
    numbers = members.groupby("sample_group_id").size()
    names = joined(members, ["sample_group_id"], "pile_id")
    frame["piles"] = group.map(numbers).fillna(0).astype("int64")
    frame["pile_ids"] = group.map(names).astype("str").fillna("")
    return frame


def sampling_measures(
    found: pd.DataFrame, members: pd.DataFrame, placements: pd.DataFrame
) -> pd.DataFrame:
    """One row per pile with grout or a group: its groups, their size, and days without a group.

    ``found`` comes of ``specimens``. A day has a group when a specimen was taken on it.
    """
    placed_on = placements["placed_on"].fillna(placements["run_on"])
    days = pd.DataFrame({"pile_id": placements["pile_id"], "day": placed_on}).drop_duplicates()
    bare = days[~days["day"].isin(found["taken_on"])]
    numbers = members.groupby("sample_group_id").size()
    taken = found.groupby("sample_group_id").size()
    group = members["sample_group_id"]
    sized = pd.DataFrame(
        {
            "pile_id": members["pile_id"],
            "piles": group.map(numbers),
            "specimens": group.map(taken).fillna(0),
        }
    )
    by_pile = sized.groupby("pile_id")
    piles = pd.Index(pd.concat([days["pile_id"], members["pile_id"]]).unique(), name="pile_id")
    frame = pd.DataFrame(
        {
            "sample_groups": by_pile.size(),
            "piles_per_group": by_pile["piles"].max().astype(float),
            "specimens_per_group": by_pile["specimens"].min().astype(float),
            "days_without_group": bare.groupby("pile_id").size(),
            "day_without_group": bare.groupby("pile_id")["day"].min(),
        }
    ).reindex(piles)
    counts = ["sample_groups", "days_without_group"]
    return frame.assign(**{name: frame[name].fillna(0) for name in counts})


def strength_measures(
    found: pd.DataFrame, members: pd.DataFrame, piles: pd.DataFrame, on: pd.Timestamp
) -> pd.DataFrame:
    """One row per pile of a group: the least strength at strength_age_days, and what is not in.

    Specimens of another age, and those tested before that age, do not decide. ``groups_untested``
    have no specimen that can; ``results_due_on`` is the day on which the first missing result has
    its age, ``results_due_days`` how long ago that was, negative before it.
    """
    asked = piles.set_index("pile_id")["strength_age_days"]
    pairs = members[["sample_group_id", "pile_id"]].merge(found, on="sample_group_id", how="left")
    age = pairs["pile_id"].map(asked).astype(float)
    decides = pairs["age_days"].eq(age) & ~(pairs["tested_age_days"] < age)
    deciding = pairs[decides]
    groups = decides.groupby([pairs["pile_id"], pairs["sample_group_id"]]).any()
    open_ = deciding[deciding["strength_mpa"].isna()]
    first = open_.groupby("pile_id")["due_on"].min()
    known = deciding[deciding["strength_mpa"].notna()]
    weakest = known.loc[known.groupby("pile_id")["strength_mpa"].idxmin()].set_index("pile_id")
    named = "specimen " + weakest["specimen_id"] + " of group " + weakest["sample_group_id"]
    frame = pd.DataFrame(
        {
            "groups_untested": (~groups).groupby(level=0).sum(),
            "grout_strength_mpa": weakest["strength_mpa"],
            "weakest_specimen": named,
            "results_missing": open_.groupby("pile_id").size(),
            "results_due_on": first,
            "results_due_days": (on - first).dt.days.astype(float),
        }
    )
    return frame.assign(
        weakest_specimen=frame["weakest_specimen"].fillna(""),
        results_missing=frame["results_missing"].fillna(0),
    )
