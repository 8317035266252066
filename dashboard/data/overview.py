"""Totals of the job: big numbers, states, areas, what needs attention, and what if."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from core import services, words
from core.subjects.registry import FINDING
from dashboard.data.views import BY_KEY, View, piles

INSTALLED = words.STAGE_ORDER["installed"]
RUN_NOT_CLOSED = FINDING["run_not_closed"].meaning


@st.cache_resource(max_entries=16, hash_funcs=BY_KEY, show_spinner=False)
def totals(view: View) -> dict[str, float]:
    """The big numbers of the overview."""
    in_ground = _in_ground(view)
    return {
        "accepted": view.assessment.accepted_positions,
        "current": view.assessment.current_positions,
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
    live = frame["position_id"].isin(positions.loc[positions["current"], "position_id"])
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
    """One row per area: positions, accepted, in the ground, length, open; the last is the total.

    What has no area has a row of its own, so that the rows add up to the total.
    """
    positions = view.assessment.positions
    current = positions[positions["current"]]
    counted = piles(view)[piles(view)["counted"]]
    in_ground = _in_ground(view)
    states_shown = ("engineer review", "record incomplete")

    def by_area(frame: pd.DataFrame) -> Any:
        return frame.groupby(frame["area"].astype(object).fillna(""))

    table = pd.DataFrame(
        {
            "positions": by_area(current).size(),
            "accepted": by_area(current)["accepted"].sum(),
            "in_ground": by_area(in_ground)["position_id"].nunique(),
            "installed_mm": by_area(in_ground)["installed_mm"].sum(),
            **{word: by_area(counted[counted["state"] == word]).size() for word in states_shown},
        }
    ).fillna(0)
    table = table.reindex(sorted(table.index, key=lambda mark: (mark == "", mark)))
    whole = ["positions", "accepted", "in_ground", *states_shown]
    names = {mark: area.name for mark, area in view.assessment.project.tables.areas.items()}
    table = table.rename_axis("area").reset_index()
    table["name_of"] = table["area"].map(names | {"": "no area"}).fillna("")
    total = table.drop(columns=["area", "name_of"]).sum().to_frame().T
    table = pd.concat([table, total.assign(area="", name_of="all areas")], ignore_index=True)
    return table.astype(dict.fromkeys(whole, int))


@st.cache_resource(max_entries=16, hash_funcs=BY_KEY, show_spinner=False)
def attention_kinds(view: View) -> pd.DataFrame:
    """One row per kind of outstanding item, the most frequent first; one column per result."""
    items = view.assessment.attention
    counted = pd.crosstab(items["kind"], items["result"])
    results = [word for word in words.RESULTS if word in counted.columns]
    often = counted.reindex(items["kind"].drop_duplicates()).sum(axis=1)
    order = often.sort_values(ascending=False, kind="stable").index
    return counted.loc[order, results].rename_axis(columns=None).reset_index()


@st.cache_resource(max_entries=16, hash_funcs=BY_KEY, show_spinner="Running the scenario …")
def what_if(view: View, sentence: str, system: str) -> services.WhatIf:
    """What a scenario would change. Raises WrongUse when it is not understood."""
    return services.what_if(view.assessment.folder, [sentence], view.as_of, system)


@st.cache_resource(max_entries=16, hash_funcs=BY_KEY, show_spinner=False)
def scenario_options(view: View) -> services.ScenarioOptions:
    """What the project offers for scenarios."""
    return services.scenario_options(view.assessment)
