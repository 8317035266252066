"""Work near grout that is still fresh: the pile turned again, and piles close by.

Where a time is not recorded, a moment lies somewhere within its day: ``_low`` and ``_high``.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from core import units
from core.compute import geometry
from core.compute.measures.spans import hours

MM_OF_A_M = units.factor("m", "mm")


def spells(placements: pd.DataFrame) -> pd.DataFrame:
    """One row per run with grout: when its first and its last placement ended.

    ``placements`` give ended_at and the bounds of their day, day_begins_at and day_ends_at.
    """
    timed = placements["ended_at"]
    frame = placements[["pile_id", "run_no", "run_order", "entry_no"]].assign(
        low=timed.fillna(placements["day_begins_at"]), high=timed.fillna(placements["day_ends_at"])
    )
    by_run = frame.groupby(["pile_id", "run_no"], sort=False)
    return pd.DataFrame(
        {
            "first_low": by_run["low"].min(),
            "first_high": by_run["high"].min(),
            "last_low": by_run["low"].max(),
            "last_high": by_run["high"].max(),
            "untimed": timed.isna().groupby([frame["pile_id"], frame["run_no"]]).sum(),
        }
    ).reset_index()


def turned_again(
    runs: pd.DataFrame, readings: pd.DataFrame, placements: pd.DataFrame
) -> pd.DataFrame:
    """One row per pile with grout: hours from a placement's end until the pile turned again.

    ``turned_h`` is the longest that is certain, ``turned_possible_h`` the longest that the record
    allows; the pile turns when a later run begins, or a reading is taken. ``untimed`` counts its
    placements without an end.
    """
    frame = runs.merge(spells(placements), on=["pile_id", "run_no"], how="left")
    frame = frame.sort_values("run_order", kind="stable")
    pile = frame["pile_id"]
    since = {
        name: frame.groupby("pile_id")[name].cummax().groupby(pile).ffill().groupby(pile).shift()
        for name in ("last_low", "last_high")
    }
    begun_low = frame["started_at"].fillna(frame["day_begins_at"])
    begun_high = frame["started_at"].fillna(frame["day_ends_at"])
    least = hours(begun_low - since["last_high"]).groupby(pile).max()
    greatest = hours(begun_high - since["last_low"]).groupby(pile).max()
    read = _read_after(readings, placements)
    grouted = pd.Index(placements["pile_id"].unique(), name="pile_id")
    untimed = placements["ended_at"].isna().groupby(placements["pile_id"]).sum()
    return pd.DataFrame(
        {
            "turned_h": pd.concat([least, read], axis=1).max(axis=1).reindex(grouted),
            "turned_possible_h": pd.concat([greatest, read], axis=1).max(axis=1).reindex(grouted),
            "untimed_placements": untimed.reindex(grouted),
        }
    )


def _read_after(readings: pd.DataFrame, placements: pd.DataFrame) -> pd.Series:
    """Per pile whose placements all have an end: longest time from one to a later reading."""
    whole = placements["ended_at"].notna().groupby(placements["pile_id"]).transform("all")
    ends = placements.loc[whole.astype(bool), ["pile_id", "ended_at"]].sort_values("ended_at")
    taken = readings["read_at"].notna() & readings["flag"].ne("missed")
    read = readings.loc[taken, ["pile_id", "read_at"]].sort_values("read_at")
    if read.empty or ends.empty:  # merge_asof refuses a frame of texts that holds no row
        return pd.Series(dtype="float64", index=pd.Index([], dtype="str", name="pile_id"))
    pairs = pd.merge_asof(read, ends, left_on="read_at", right_on="ended_at", by="pile_id")
    return hours(pairs["read_at"] - pairs["ended_at"]).groupby(pairs["pile_id"]).max()


def fresh_neighbours(
    piles: pd.DataFrame, runs: pd.DataFrame, placements: pd.DataFrame
) -> pd.DataFrame:
    """One row per pile that was worked within neighbour_mm of grout: how old the youngest was.

    ``fresh_h`` is what the record proves, with the neighbour in words; ``fresh_possible_h`` the
    least that it allows.
    """
    near = neighbours(piles)
    worked = near.merge(_worked(runs), on="pile_id")
    grouted = spells(placements).rename(columns={"pile_id": "neighbour", "run_no": "its_run"})
    pairs = worked.merge(grouted, on="neighbour")
    possible = pairs[pairs["finish_high"] > pairs["first_low"]]
    certain = possible[possible["finish_low"] > possible["first_high"]]
    age = hours(certain["begun_high"] - certain["last_low"]).clip(lower=0)
    least = hours(possible["begun_low"] - possible["last_high"]).clip(lower=0)
    proven = certain.assign(age=age)
    youngest = proven.loc[proven.groupby("pile_id")["age"].idxmin()].set_index("pile_id")
    frame = pd.DataFrame(
        {"fresh_possible_h": least.groupby(possible["pile_id"]).min(), "fresh_h": youngest["age"]}
    )
    allowed = possible.assign(age=least)
    named = allowed.loc[allowed.groupby("pile_id")["age"].idxmin()].set_index("pile_id")
    frame["fresh_neighbour"] = youngest["neighbour"].reindex(frame.index)
    frame["fresh_neighbour"] = frame["fresh_neighbour"].fillna(named["neighbour"])
    return frame


def _worked(runs: pd.DataFrame) -> pd.DataFrame:
    begun_low = runs["started_at"].fillna(runs["day_begins_at"])
    return pd.DataFrame(
        {
            "pile_id": runs["pile_id"],
            "begun_low": begun_low,
            "begun_high": runs["started_at"].fillna(runs["day_ends_at"]),
            "finish_low": runs["ended_at"].fillna(begun_low),
            "finish_high": runs["ended_at"].fillna(runs["day_ends_at"]),
        }
    )


def neighbours(piles: pd.DataFrame) -> pd.DataFrame:
    """One row per pile and other pile within its neighbour_mm in plan: pile_id, neighbour.

    Found on a grid whose cell is the greatest of these distances, so that only the piles of nine
    cells are compared with each other.
    """
    columns = ["pile_id", "easting_m", "northing_m", "neighbour_mm"]
    known = piles.loc[piles["easting_m"].notna() & piles["northing_m"].notna(), columns]
    cell_m = known["neighbour_mm"].max() / MM_OF_A_M
    if not cell_m > 0:
        return pd.DataFrame({"pile_id": [], "neighbour": []}, dtype="str")
    east = np.floor(known["easting_m"] / cell_m).astype("int64")
    north = np.floor(known["northing_m"] / cell_m).astype("int64")
    known = known.assign(east=east, north=north)
    asking = known[known["neighbour_mm"].notna()]
    around = pd.DataFrame([(a, b) for a in (-1, 0, 1) for b in (-1, 0, 1)], columns=["a", "b"])
    asking = asking.merge(around, how="cross")
    asking = asking.assign(east=asking["east"] + asking["a"], north=asking["north"] + asking["b"])
    pairs = asking.merge(known, on=["east", "north"], suffixes=("", "_of_other"))
    apart = geometry.plan_offset(
        (pairs["easting_m"] - pairs["easting_m_of_other"]) * MM_OF_A_M,
        (pairs["northing_m"] - pairs["northing_m_of_other"]) * MM_OF_A_M,
    )
    close = (apart <= pairs["neighbour_mm"]) & pairs["pile_id"].ne(pairs["pile_id_of_other"])
    found: pd.DataFrame = pairs.loc[close, ["pile_id", "pile_id_of_other"]]
    return found.rename(columns={"pile_id_of_other": "neighbour"}).reset_index(drop=True)
