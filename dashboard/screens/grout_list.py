"""The list under the grout takes: a question, the piles that answer it, and their numbers."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from dashboard import data, filters
from dashboard.literal import literal
from dashboard.screens.pile_list import PileList

MEANINGS = {
    "all": "Every pile with grout that passes the filters, the least margin first.",
    "below": "A take ratio below what is asked, the furthest below first.",
    "barely": "What is asked is met or not set, the least margin first.",
    "unlike": "The thinnest lift lies far outside the middle half of the pile's area and type.",
    "alarm": "More grout than the alarm: lost into a void, or a miscount; the highest first.",
    "gap": "No lift is recorded in a stretch down to the toe that is wider than allowed.",
    "unknown": "Grout was placed, and its net volume or its void is not known; see why.",
}
# Heading of every column, in order.
HEADINGS = {
    "take_margin": "least margin",
    "min_cumulative_ratio": "least cumulative take",
    "thinnest_at": "cumulative, at",
    "take_result": "cumulative is",
    "min_lift_ratio": "least take of a lift",
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
    "grouted_length_mm": "grouted length asked for",
    "lift_gap_mm": "widest gap between lifts",
    "gap_result": "lifts to the toe",
    "gap_note": "gap",
    "grout_missing": "why not known",
    "take_note": "note",
}
TEXTS = ("thinnest_at", "thinnest_lift", "gap_note", "grout_missing", "take_note")


def draw(placed: pd.DataFrame, system: str) -> None:
    """Draw the switch with the questions and the list; a ticked row chooses its pile."""
    st.subheader("Piles")
    tally = data.take_tallies(placed)
    counted = {ask: f"{word} ({tally[ask]:,})" for ask, word in data.TAKE_ASKS.items()
               if ask in tally}  # fmt: skip
    ask = filters.switch("ask", data.TAKE_ASKS | counted, "Which piles")
    found = data.take_answer(placed, ask)
    st.caption(literal(MEANINGS[ask]))
    if found.empty:
        st.markdown("**None.**")
        return
    shown = PileList(found, system)
    for column, heading in HEADINGS.items():
        if column.endswith("_result"):
            shown.result(column, heading)
        elif column in TEXTS:
            shown.rows[heading] = found[column]
        else:
            shown.number(column, heading, "%.2f", int(column.startswith("thin_")))
    shown.rows |= {"area and type": found["group"], "placed on": found["placed_on"].dt.date}
    shown.draw("take_list", "Piles with the take of their thinnest lift beside what is asked")
