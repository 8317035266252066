"""The list under the grout takes: a question, the piles that answer it, and their numbers."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from core import units, words
from dashboard import data, filters, theme

MEANINGS = {
    "all": "Every pile with grout that passes the filters, the least margin first.",
    "below": "A take ratio below what is asked, the furthest below first.",
    "barely": "What is asked is met or not set, the least margin first.",
    "unlike": "The thinnest lift lies far outside the middle half of the pile's area and type.",
    "alarm": "More grout than the alarm: lost into a void, or a miscount; the highest first.",
    "unknown": "Grout was placed, and its net volume or its void is not known; see why.",
}
# Heading of every column, in order.
HEADINGS = {
    "take_margin": "least margin",
    "least_cumulative_ratio": "least cumulative take",
    "thinnest_at": "cumulative, at",
    "take_result": "cumulative is",
    "least_lift_ratio": "least take of a lift",
    "thinnest_lift": "which lift",
    "lift_result": "lift is",
    "thin_from_mm": "toe from",
    "thin_to_mm": "toe to",
    "thin_net_l": "net of the lift",
    "thin_void_l": "void of the lift",
    "thin_resolution_l": "measured in steps of",
    "thin_step_ratio": "one step in the ratio",
    "take_ratio": "whole pile",
    "net_grout_l": "net of the pile",
    "void_l": "void of the pile",
    "alarm_result": "alarm is",
    "grout_missing": "why not known",
    "take_note": "note",
}
TEXTS = ("thinnest_at", "thinnest_lift", "grout_missing", "take_note")
FEW_ROWS = 10


def draw(placed: pd.DataFrame, system: str) -> None:
    """Draw the switch with the questions and the list; a ticked row chooses its pile."""
    st.subheader("Piles")
    tally = data.take_tallies(placed)
    counted = {ask: f"{word} ({tally[ask]:,})" for ask, word in data.TAKE_ASKS.items()
               if ask in tally}  # fmt: skip
    ask = filters.switch("ask", data.TAKE_ASKS | counted, "Which piles")
    found = data.take_answer(placed, ask)
    st.caption(MEANINGS[ask])
    if found.empty:
        st.markdown("**None.**")
        return
    rows, formats = _rows(found, system)
    name = filters.key(f"take_list_{hash(tuple(found['subject']))}")
    st.dataframe(
        rows,
        hide_index=True,
        height=420 if len(rows) > FEW_ROWS else "auto",
        key=name,
        column_config=formats,
        placeholder="no value",
        on_select=lambda: _picked(name, found["subject"].tolist()),
        selection_mode="multi-row",
        alt="Piles with the take of their thinnest lift beside what is asked",
    )


def _rows(found: pd.DataFrame, system: str) -> tuple[pd.DataFrame, dict[str, object]]:
    """The list as shown, and how each of its numbers is printed."""
    letters = found["state"].map(lambda word: words.STATE[word].letter)
    rows = {"pile": found["subject"], "state": letters + " · " + found["state"]}
    formats: dict[str, object] = {
        "pile": st.column_config.TextColumn(pinned=True),
        "state": st.column_config.TextColumn(width=170),
    }
    for column, heading in HEADINGS.items():
        values, unit = found[column], units.shown_unit(column, system)
        if column.endswith("_result"):
            rows[heading] = (values.map(theme.RESULT_SIGNS).fillna("") + " " + values).str.strip()
        elif column in TEXTS:
            rows[heading] = values
        elif unit:
            name = f"{heading} [{unit.symbol}]"
            rows[name] = units.shown_values(values.astype(float), column, system)
            decimals = max(unit.decimals, 1) if column.startswith("thin_") else unit.decimals
            formats[name] = st.column_config.NumberColumn(format=f"%.{decimals}f")
        else:
            rows[heading] = values.astype(float)
            formats[heading] = st.column_config.NumberColumn(format="%.2f")
    rows |= {"area and type": found["group"], "placed on": found["placed_on"].dt.date}
    return pd.DataFrame(rows), formats


def _picked(name: str, shown: list[str]) -> None:
    picked = st.session_state[name]["selection"]["rows"]
    filters.choose(shown[place] for place in picked)
