"""The list under the torque profiles: a question, the piles that answer it, and their numbers."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from dashboard import data, filters
from dashboard.literal import literals
from dashboard.screens.pile_list import PileList

MEANINGS = {
    "all": "Every pile that passes the filters; replaced piles are left out.",
    "below": "Final torque below the required torque, the furthest below first.",
    "barely": "Required torque met, the smallest ratio first.",
    "unlike": "Most of its length outside the band of its own area and type first; about a fifth "
    "outside is usual.",
    "falling": "Last reading of the final window below the greatest in it, the deepest fall first; "
    "in brackets those beyond the project's share.",
    "rating": "Greatest torque over the rating, the highest first; in brackets those over it.",
}
# Heading of every column, in the usual order.
HEADINGS = {
    "final_torque_lower_bound_nm": "final torque",
    "required_torque_nm": "required",
    "required_by": "required by",
    "torque_ratio": "final / required",
    "torque_margin_nm": "margin",
    "torque_uncertainty_nm": "measured to ±",
    "required_result": "required torque is",
    "installed_mm": "length",
    "from_median_nm": "from the median",
    "outside_share": "outside the band",
    "drop_share": "fall at the end",
    "max_torque_nm": "greatest torque",
    "max_depth_mm": "read at depth",
    "rated_torque_nm": "rated",
    "rated_share": "greatest / rated",
    "rated_result": "rated torque is",
    "rated_by": "weakest part",
    "last_torque_nm": "last reading",
    "drop_result": "drop at the end is",
}
# What stands first for a question; the rest follows.
FIRST = {
    "unlike": ["outside_share", "from_median_nm", "installed_mm"],
    "falling": ["drop_share", "drop_result", "last_torque_nm"],
    "rating": [
        "max_torque_nm",
        "rated_torque_nm",
        "rated_share",
        "max_depth_mm",
        "rated_by",
        "rated_result",
    ],
}
SHARE, RATIO = "percent", "%.3f"


def draw(held: pd.DataFrame, system: str) -> None:
    """Draw the switch with the questions and the list; a ticked row chooses its pile."""
    st.subheader("Piles")
    tally = data.tallies(held)
    counted = {ask: f"{word} ({tally[ask]:,})" for ask, word in data.ASKS.items() if ask in tally}
    ask = filters.switch("ask", data.ASKS | counted, "Which piles")
    found = data.answer(held, ask)
    st.caption(literals([MEANINGS[ask], *_missing(held, ask)], " "))
    if found.empty:
        st.markdown("**None.**")
        return
    shown = _shown(found, ask, system)
    shown.draw("torque_list", "Piles with their torque beside what is required, rated and usual")


def _missing(held: pd.DataFrame, ask: str) -> list[str]:
    told = []
    if number := data.unanswered(held, ask):
        told.append(f"{number:,} more cannot be told for want of evidence.")
    if number := data.not_yet_due(held, ask):
        told.append(f"{number:,} more are not yet due.")
    return told


def _shown(found: pd.DataFrame, ask: str, system: str) -> PileList:
    """The list with what answers ``ask`` first."""
    shown = PileList(found, system)
    first = FIRST.get(ask, [])
    unknown = found["torque_uncertainty_nm"].isna().all()
    for column in [*first, *(name for name in HEADINGS if name not in first)]:
        if column == "torque_uncertainty_nm" and unknown:
            continue
        if column.endswith("_result"):
            shown.result(column, HEADINGS[column])
        elif column in ("rated_by", "required_by"):
            shown.rows[HEADINGS[column]] = found[column]
        else:
            plain = SHARE if column.endswith("_share") else RATIO
            shown.number(column, HEADINGS[column], plain)
    shown.rows |= {"area and type": found["group"], "rig": found["rig"]}
    shown.rows |= {"last run": found["run_on"].dt.date, "note": found["required_note"]}
    return shown
