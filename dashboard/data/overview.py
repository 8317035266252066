"""Totals of the job: big numbers, states, areas and what needs attention."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from core import words
from dashboard.data.views import BY_KEY, View, piles

INSTALLED = words.STAGE_ORDER["installed"]


@st.cache_resource(max_entries=16, hash_funcs=BY_KEY, show_spinner=False)
def totals(view: View) -> dict[str, float]:
    """The big numbers of the overview."""
    in_ground = _in_ground(view)
    return {
        "satisfied": view.assessment.satisfied,
        "live": view.assessment.live,
        "in_ground": in_ground["position_id"].nunique(),
        "installed_mm": in_ground["installed_mm"].sum(),
        "engineer": view.assessment.counts.get("engineer review", 0),
        "runs_not_closed": view.assessment.runs_not_closed,
    }


def piles_not_closed(view: View) -> list[str]:
    """Piles with a run that is not closed."""
    return view.assessment.piles_not_closed


def _in_ground(view: View) -> pd.DataFrame:
    """Production piles of live positions, with steel in the ground."""
    frame, positions = piles(view), view.assessment.positions
    live = frame["position_id"].isin(positions.loc[positions["live"], "position_id"])
    return frame[live & frame["counted"] & (frame["stage"].map(words.STAGE_ORDER) >= INSTALLED)]


@st.cache_resource(max_entries=16, hash_funcs=BY_KEY, show_spinner=False)
def states(view: View) -> pd.DataFrame:
    """One row per state that a production pile has, best to worst, replaced last: word, piles."""
    counts = view.assessment.counts
    order = sorted(
        words.STATE_ORDER, key=lambda word: (word == "replaced", -words.STATE_ORDER[word])
    )
    rows = [(word, counts.get(word, 0)) for word in order]
    frame = pd.DataFrame(rows, columns=["state", "piles"])
    return frame[frame["piles"] > 0].reset_index(drop=True)


@st.cache_resource(max_entries=16, hash_funcs=BY_KEY, show_spinner=False)
def areas(view: View) -> pd.DataFrame:
    """One row per area: live positions, satisfied, with a pile in the ground, metres, open."""
    positions = view.assessment.positions
    live = positions[positions["live"]].groupby("area")
    in_ground = _in_ground(view).groupby("area")
    counted = piles(view)[piles(view)["counted"]]
    names = {mark: area.name for mark, area in view.assessment.project.tables.areas.items()}
    table = pd.DataFrame(
        {
            "positions": live.size(),
            "satisfied": live["satisfied"].sum(),
            "in_ground": in_ground["position_id"].nunique(),
            "installed_mm": in_ground["installed_mm"].sum(),
        }
    )
    for word in ("engineer review", "record incomplete"):
        table[word] = counted[counted["state"] == word].groupby("area").size()
    table = table.fillna(0).astype({"in_ground": int} | dict.fromkeys(table.columns[-2:], int))
    return table.assign(name=table.index.map(lambda mark: names.get(mark, "")))


@st.cache_resource(max_entries=16, hash_funcs=BY_KEY, show_spinner=False)
def attention_kinds(view: View) -> pd.DataFrame:
    """One row per kind of outstanding item, the most frequent first; one column per result."""
    items = view.assessment.attention
    counted = pd.crosstab(items["kind"], items["result"])
    results = [word for word in words.RESULTS if word in counted.columns]
    often = counted.reindex(items["kind"].drop_duplicates()).sum(axis=1)
    order = often.sort_values(ascending=False, kind="stable").index
    return counted.loc[order, results].rename_axis(columns=None).reset_index()
