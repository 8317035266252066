"""The corridor of outstanding items: what each open finding is about, and known since when."""

from __future__ import annotations

import numpy as np
import pandas as pd

from core import words
from core.flow.cited_rows import NEVER, Array, CitedRows, by_measure, entry_worth
from core.flow.snapshot import Snapshot
from core.judge.outstanding import outstanding_items


def items_of(
    found: pd.DataFrame,
    piles: pd.DataFrame,
    cited_rows: CitedRows,
    runs: pd.DataFrame,
    known: Snapshot,
) -> pd.DataFrame:
    """Outstanding items of the findings ``found``; ``cited_rows``: what their measures rest on.

    Replaced piles are left out: about them nobody has to do anything. So are findings that wait
    for a parameter of project.toml: its criteria set has one item for them all.
    """
    replaced = piles.loc[piles["state"].eq("replaced"), "pile_id"]
    needed = found[found["result"].isin(words.OPEN_RESULTS) & ~found["pile_id"].isin(replaced)]
    needed = needed[needed["parameter"].eq("")]
    on = pd.Timestamp(known.on)
    entered = newest_entries(needed, cited_rows, entry_worth(known.entered_on, on))
    return outstanding_items(needed, _subjects(piles, runs), entered, on)


def newest_entries(found: pd.DataFrame, cited_rows: CitedRows, worth: Array) -> Array:
    """Per finding the day on which the newest row of its evidence was entered; NaT for none.

    ``worth``: the day of each entry that counts, as of ``entry_worth``.
    """
    newest = np.full(len(found), NEVER)
    for measure, at, subjects, codes in by_measure(found):
        newest[at] = cited_rows.newest(measure, subjects, worth)[codes]
    return newest.view("datetime64[us]")


def _subjects(piles: pd.DataFrame, runs: pd.DataFrame) -> pd.DataFrame:
    """One row per pile, position and instrument: its area and the last day of work with it."""
    worked = runs["ended_on"].fillna(runs["run_on"])
    of_pile = piles.dropna(subset=["pile_id"])
    parts = [
        _part("pile", of_pile["pile_id"], of_pile["area"], worked.groupby(runs["pile_id"]).max()),
        _part("position", piles["position_id"], piles["area"]),
    ]
    used = worked.groupby(runs["instrument_id"]).max()
    parts.append(_part("instrument", used.index.to_series(), None, used))
    return pd.concat(parts, ignore_index=True).drop_duplicates(["subject_kind", "subject"])


def _part(
    kind: str, subject: pd.Series, area: pd.Series | None, worked: pd.Series | None = None
) -> pd.DataFrame:
    frame = pd.DataFrame({"subject": subject, "area": area}).astype("str")
    days = pd.Series(dtype="datetime64[us]") if worked is None else worked
    worked_on = days.reindex(frame["subject"]).to_numpy(dtype="datetime64[us]")
    return frame.assign(subject_kind=kind, worked_on=worked_on)
