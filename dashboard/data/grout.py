"""Grout side by side: takes of lifts and piles, what is asked of them, and the questions."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from core import services
from dashboard.data.views import BY_KEY, View

# Questions that the list answers: value in the address, word on the switch.
TAKE_ASKS: dict[str, str] = {
    "all": "all",
    "below": "below what is asked",
    "barely": "least margin",
    "unlike": "unlike its group",
    "alarm": "above the alarm",
    "gap": "a gap between lifts",
    "unknown": "not known",
}
TAKE_LIMITS = ("min_cumulative_ratio", "min_lift_ratio", "alarm_ratio")
BELOW = ["not met", "within measurement uncertainty"]
TAKE_RESULTS = {
    "grout take": "take_result",
    "grout take in a lift": "lift_result",
    "grout take above the alarm": "alarm_result",
    "grout lifts to the toe": "gap_result",
    "grout recorded": "recorded_result",
    "grout sampling": "sampling_result",
    "grout strength": "strength_result",
}


@st.cache_resource(
    max_entries=4, hash_funcs=BY_KEY, show_spinner="Setting the grout side by side …"
)
def grouting(view: View) -> Any:
    """Frames of grout, as `core.services.Grouting` says."""
    return services.grouting(view.assessment)


@st.cache_resource(max_entries=4, hash_funcs=BY_KEY, show_spinner=False)
def grouted_piles(view: View) -> pd.DataFrame:
    """Grouted piles with their thinnest lift, results of the rules of grout, and the least margin.

    ``take_margin`` is the lesser of the margins of both take ratios, ``take_note`` the note of
    the worse finding, ``gap_note`` that of the lifts to the toe.
    """
    frame = grouting(view).piles.copy()
    frame = frame.assign(subject=frame["pile_id"].fillna(frame["position_id"]))
    found = view.assessment.findings
    found = found[found["pile_id"].notna()]
    for kind, name in TAKE_RESULTS.items():
        own = found[found["kind"].eq(kind)].drop_duplicates("pile_id").set_index("pile_id")
        frame[name] = frame["pile_id"].map(own["result"]).astype("str").fillna("")
    takes = found[found["kind"].isin(["grout take", "grout take in a lift"])]
    worst = takes.drop_duplicates("pile_id").set_index("pile_id")
    frame["take_margin"] = frame["pile_id"].map(takes.groupby("pile_id")["margin"].min())
    frame["take_margin"] = frame["take_margin"].astype(float)
    frame["take_note"] = frame["pile_id"].map(worst["note"]).astype("str").fillna("")
    to_toe = found[found["kind"].eq("grout lifts to the toe")].drop_duplicates("pile_id")
    gap_note = frame["pile_id"].map(to_toe.set_index("pile_id")["note"])
    frame["gap_note"] = gap_note.astype("str").fillna("")
    bad = frame["take_result"].isin(BELOW) | frame["lift_result"].isin(BELOW)
    bad |= frame["gap_result"].eq("no evidence")
    frame["named"] = bad | frame["alarm_result"].isin(["noted", *BELOW]) | frame["unlike"]
    return frame


@st.cache_resource(max_entries=4, hash_funcs=BY_KEY, show_spinner=False)
def grout_groups(view: View) -> dict[str, tuple[str, str]]:
    """Area and type of every group of grouted piles, by the group's name."""
    frame = grouted_piles(view).dropna(subset=["area", "pile_type"])
    rows = frame.drop_duplicates("group").sort_values("group")
    return {row.group: (row.area, row.pile_type) for row in rows.itertuples()}


@st.cache_resource(max_entries=4, hash_funcs=BY_KEY, show_spinner=False)
def caps(view: View) -> dict[str, list[str]]:
    """Grouted piles under each cap, by the cap's name."""
    frame = grouted_piles(view).dropna(subset=["cap"])
    return frame.groupby("cap")["subject"].agg(list).to_dict()


@st.cache_resource(max_entries=4, hash_funcs=BY_KEY, show_spinner=False)
def take_limits(view: View) -> pd.DataFrame:
    """What the project asks of the take: one row per type, NaN where nothing is set."""
    return asked(view, "grout_take", TAKE_LIMITS)


def asked(view: View, criterion: str, names: tuple[str, ...]) -> pd.DataFrame:
    """Numbers and clause of a criterion of grout by type, of the types that have it set."""
    rows = view.assessment.project.criteria(criterion)
    rows = rows[rows["criterion_status"].eq("set")].reindex(columns=["pile_type", "clause", *names])
    used = set(grouted_piles(view)["pile_type"])
    return rows[rows["pile_type"].isin(used)].set_index("pile_type")


def limits_of(view: View, kinds: pd.Series) -> dict[str, float]:
    """Limits of the take that all piles of these types share, by name; none where they differ."""
    rows = take_limits(view).reindex(kinds.dropna().unique())[list(TAKE_LIMITS)].drop_duplicates()
    if len(rows) != 1:
        return {}
    return {name: float(value) for name, value in rows.iloc[0].items() if pd.notna(value)}


def take_answer(frame: pd.DataFrame, ask: str) -> pd.DataFrame:
    """The rows of ``frame`` that answer a question, the least margin first."""
    order = ["take_margin", "min_lift_ratio", "min_cumulative_ratio"]
    ranked = frame.sort_values(order, kind="stable")
    below = ranked["take_result"].isin(BELOW) | ranked["lift_result"].isin(BELOW)
    if ask == "below":
        return ranked[below]
    if ask == "barely":
        return ranked[~below & ranked["min_lift_ratio"].notna()]
    if ask == "unlike":
        return ranked[ranked["unlike"]]
    if ask == "alarm":
        high = ranked[ranked["alarm_result"].isin(["noted", *BELOW])]
        return high.sort_values("take_ratio", ascending=False, kind="stable")
    if ask == "gap":
        return ranked[ranked["gap_result"].eq("no evidence")]
    if ask == "unknown":
        return ranked[ranked["lifts"].gt(0) & ranked["take_ratio"].isna()]
    return ranked


def take_tallies(frame: pd.DataFrame) -> dict[str, int]:
    """How many rows of ``frame`` answer each question but the first."""
    asks = ("below", "unlike", "alarm", "gap", "unknown")
    return {ask: len(take_answer(frame, ask)) for ask in asks}


def lifts_of(view: View, subjects: list[str]) -> pd.DataFrame:
    """Lifts of some piles in the order pile, work."""
    frame = grouting(view).lifts
    return frame[frame["pile_id"].isin(subjects)]
