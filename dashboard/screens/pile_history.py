"""History of one pile by day: what was done, what was entered, by whom, from which file."""

from __future__ import annotations

from html import escape

import pandas as pd
import streamlit as st

from dashboard import data
from dashboard.screens import frame


def show(view: data.View, row: pd.Series, system: str) -> None:
    """Draw the history, the newest day first."""
    st.subheader("History", anchor="history")
    rows = data.pile_history(view, row["subject"], system, row)
    if rows.empty:
        st.markdown("No entry speaks of this pile.")
        return
    repeated = rows["day"].eq(rows["day"].shift())
    told = rows["what"].map(escape)
    shown = pd.DataFrame(
        {
            "Day": rows["day"].where(~repeated, "").mask(rows["day"].eq("") & ~repeated, "no day"),
            "What": told.where(rows["stands"], "<s>" + told + "</s>"),
            "Entered by": rows["person"],
            "File": rows["file"],
            "Entry": rows["entry_no"],
        }
    )
    frame.table(shown, ("Entry",), ("What",))
