"""Torque side by side: the piles of each group, their profiles, and the lists of them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pandas as pd
import streamlit as st

from core import services
from core.subjects.registry import FINDING
from dashboard.data.views import BY_KEY, View, piles

# Lists of the page: name in the address, word on the switch.
LISTS: dict[str, str] = {
    "all": "all",
    "below": "below required",
    "barely": "smallest margin",
    "unlike": "outlier in its group",
    "falling": "drop at the end",
    "rating": "closest to the rating",
}
MIN_PILES = services.MIN_GROUP_PILES
RESULTS = {
    "mean_torque": "required_result",
    "rated_torque": "rated_result",
    "torque_drop_at_end": "drop_result",
}
RESULT_OF = {"below": "required_result", "barely": "required_result", "rating": "rated_result"}


@st.cache_resource(max_entries=4, hash_funcs=BY_KEY, show_spinner="Comparing profiles …")
def _compared(view: View) -> Any:
    return services.compared(view.assessment)


@st.cache_resource(max_entries=4, hash_funcs=BY_KEY, show_spinner=False)
def compared_piles(view: View) -> pd.DataFrame:
    """One row per pile with readings: its measures beside its group, and results of torque rules.

    Replaced piles are left out: about them nobody has to do anything. Their readings stay in the
    bands, because the ground is the same.
    ``required_note`` and ``torque_uncertainty_nm`` are those of the finding *required torque*.
    """
    frame = _compared(view).piles
    frame = frame.assign(subject=piles(view)["subject"].to_numpy())
    found = view.assessment.findings.drop_duplicates(["pile_id", "kind"])
    for finding, name in RESULTS.items():
        own = found[found["kind"].eq(FINDING[finding].word)].set_index("pile_id")
        own = own[own.index.notna()]
        frame[name] = _as_text(frame["pile_id"].map(own["result"]))
        if finding == "mean_torque":
            uncertainty = frame["pile_id"].map(own["uncertainty"])
            frame["torque_uncertainty_nm"] = uncertainty.astype(float)
            frame["required_note"] = _as_text(frame["pile_id"].map(own["note"]))
    read = set(_compared(view).readings["pile_id"])
    held = frame["pile_id"].isin(read) & frame["state"].ne("replaced")
    return frame[held].reset_index(drop=True)


def _as_text(values: pd.Series) -> pd.Series:
    return values.astype("str").fillna("")


@st.cache_resource(max_entries=4, hash_funcs=BY_KEY, show_spinner=False)
def groups(view: View) -> dict[str, tuple[str, str]]:
    """Area and type of every group of piles with readings, by the group's name."""
    frame = compared_piles(view).dropna(subset=["area", "pile_type"])
    rows = frame.drop_duplicates("group").sort_values("group")
    return {row.group: (row.area, row.pile_type) for row in rows.itertuples()}


def profiles(view: View, subjects: Sequence[str]) -> pd.DataFrame:
    """Standing readings of some piles, in the order pile, depth."""
    frame = _compared(view).readings
    return frame[frame["pile_id"].isin(list(subjects))]


@st.cache_resource(max_entries=4, hash_funcs=BY_KEY, show_spinner=False)
def _unlevelled(view: View) -> set[str]:
    readings = _compared(view).readings
    return set(readings.loc[readings["level_m"].isna(), "pile_id"])


def without_level(view: View, frame: pd.DataFrame) -> int:
    """How many piles of ``frame`` cannot be drawn over level."""
    return int(frame["pile_id"].isin(_unlevelled(view)).sum())


def band(view: View, group: str, axis: str) -> pd.DataFrame:
    """Median and band of one group: one row per stretch of depth_mm or level_m."""
    frame = _compared(view).bands[axis]
    return frame[frame["group"] == group]


def listed(frame: pd.DataFrame, name: str) -> pd.DataFrame:
    """The rows of ``frame`` that are in one of `LISTS`, the first to look at first."""
    required = frame["required_result"]
    if name == "below":
        short = frame[required.isin(["not met", "within measurement uncertainty"])]
        return short.sort_values("torque_margin_nm", kind="stable")
    if name == "barely":
        return frame[required.eq("met")].sort_values("torque_ratio", kind="stable")
    if name == "falling":
        fell = frame[frame["drop_share"] > 0]
        return fell.sort_values("drop_share", ascending=False, kind="stable")
    column = {"unlike": "outside_share", "rating": "rated_share"}.get(name)
    if column is None:
        return frame
    return frame.dropna(subset=[column]).sort_values(column, ascending=False, kind="stable")


def counts(frame: pd.DataFrame) -> dict[str, int]:
    """For the lists with a rule behind them: of how many rows of ``frame`` it is not met."""
    rules = {"below": "required_result", "falling": "drop_result", "rating": "rated_result"}
    bad = ["not met", "within measurement uncertainty"]
    return {name: int(frame[column].isin(bad).sum()) for name, column in rules.items()}


def without_evidence(frame: pd.DataFrame, name: str) -> int:
    """How many rows of ``frame`` may belong in a list: the evidence is missing."""
    if name in RESULT_OF:
        return int(frame[RESULT_OF[name]].eq("no evidence").sum())
    column = {"falling": "drop_share", "unlike": "outside_share"}.get(name)
    return int(frame[column].isna().sum()) if column else 0


def not_yet_due(frame: pd.DataFrame, name: str) -> int:
    """How many rows of ``frame`` have the rule of a list not yet due."""
    return int(frame[RESULT_OF[name]].eq("not yet due").sum()) if name in RESULT_OF else 0
