"""The list under the torque profiles: a question, the piles that answer it, and their numbers."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from core import units, words
from dashboard import data, filters, theme

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
    "floor_final_torque_nm": "final torque",
    "required_torque_nm": "required",
    "torque_ratio": "final / required",
    "torque_margin_nm": "margin",
    "torque_uncertainty_nm": "measured to ±",
    "required_result": "required torque is",
    "installed_mm": "length",
    "from_median_nm": "from the median",
    "outside_share": "outside the band",
    "drop_share": "fall at the end",
    "greatest_torque_nm": "greatest torque",
    "greatest_depth_mm": "read at depth",
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
        "greatest_torque_nm",
        "rated_torque_nm",
        "rated_share",
        "greatest_depth_mm",
        "rated_by",
        "rated_result",
    ],
}
FEW_ROWS = 10
SHARE, RATIO = "percent", "%.3f"


def draw(held: pd.DataFrame, system: str) -> None:
    """Draw the switch with the questions and the list; a ticked row chooses its pile."""
    st.subheader("Piles")
    tally = data.tallies(held)
    counted = {ask: f"{word} ({tally[ask]:,})" for ask, word in data.ASKS.items() if ask in tally}
    ask = filters.switch("ask", data.ASKS | counted, "Which piles")
    found = data.answer(held, ask)
    st.caption(" ".join([MEANINGS[ask], *_missing(held, ask)]))
    if found.empty:
        st.markdown("**None.**")
        return
    rows, formats = _rows(found, ask, system)
    name = filters.key(f"torque_list_{hash(tuple(found['subject']))}")
    st.dataframe(
        rows,
        hide_index=True,
        height=420 if len(rows) > FEW_ROWS else "auto",
        key=name,
        column_config=formats,
        placeholder="no value",
        on_select=lambda: _picked(name, found["subject"].tolist()),
        selection_mode="multi-row",
        alt="Piles with their torque beside what is required, rated and usual",
    )


def _missing(held: pd.DataFrame, ask: str) -> list[str]:
    told = []
    if number := data.unanswered(held, ask):
        told.append(f"{number:,} more cannot be told for want of evidence.")
    if number := data.not_yet_due(held, ask):
        told.append(f"{number:,} more are not yet due.")
    return told


def _rows(found: pd.DataFrame, ask: str, system: str) -> tuple[pd.DataFrame, dict[str, object]]:
    """The list as shown, and how each of its numbers is printed."""
    letters = found["state"].map(lambda word: words.STATE[word].letter)
    rows = {"pile": found["subject"], "state": letters + " · " + found["state"]}
    formats: dict[str, object] = {
        "pile": st.column_config.TextColumn(pinned=True),
        "state": st.column_config.TextColumn(width=170),
    }
    first = FIRST.get(ask, [])
    unknown = found["torque_uncertainty_nm"].isna().all()
    for column in [*first, *(name for name in HEADINGS if name not in first)]:
        if column == "torque_uncertainty_nm" and unknown:
            continue
        heading, unit = HEADINGS[column], units.shown_unit(column, system)
        if column.endswith("_result"):
            sign = found[column].map(theme.RESULT_SIGNS).fillna("")
            rows[heading] = (sign + " " + found[column]).str.strip()
        elif column == "rated_by":
            rows[heading] = found[column]
        elif unit:
            heading = f"{heading} [{unit.symbol}]"
            rows[heading] = units.shown_values(found[column].astype(float), column, system)
            formats[heading] = st.column_config.NumberColumn(format=f"%.{unit.decimals}f")
        else:
            rows[heading] = found[column].astype(float)
            percent = column.endswith("_share")
            formats[heading] = st.column_config.NumberColumn(format=SHARE if percent else RATIO)
    rows |= {"area and type": found["group"], "rig": found["rig"]}
    rows |= {"last run": found["run_on"].dt.date, "note": found["required_note"]}
    return pd.DataFrame(rows), formats


def _picked(name: str, shown: list[str]) -> None:
    picked = st.session_state[name]["selection"]["rows"]
    filters.choose(shown[place] for place in picked)
