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
    frame["pile_ids"] = group.map(names).fillna("").astype("str")
    return frame
