"""Findings of one pile with measured, limit and margin, and the source rows behind them."""

from __future__ import annotations

from html import escape

import pandas as pd
import streamlit as st

from core.subjects.registry import FINDING_KIND
from dashboard import data, theme
from dashboard.literal import literal
from dashboard.screens import frame

FOLDED = ("met", "not required", "not yet due")


def show(view: data.View, subject: str, system: str) -> None:
    """Draw what the rules say of one pile, worst first; what is met is folded."""
    st.subheader("Findings", anchor="findings")
    found = data.findings(view, subject)
    if found.empty:
        st.markdown("No rule applies yet: nothing is in the ground.")
        return
    rows = pd.DataFrame(
        {
            "Result": found["result"].map(theme.result_mark),
            "Finding": found["kind"].map(_with_meaning) + found["clause"].map(_small),
            "Measured": frame.quantities(found, "measured", system),
            "Limit": frame.quantities(found, "limit_value", system),
            "Margin": _margins(found, system),
            "Note": found["note"],
        }
    )
    folded = found["result"].isin(FOLDED)
    numbers, marked = ("Measured", "Limit", "Margin"), ("Result", "Finding")
    if folded.all():
        st.markdown("Nothing objects.")
    else:
        frame.table(rows[~folded], numbers, marked)
    if folded.any():
        tally = found.loc[folded, "result"].value_counts()
        title = ", ".join(f"{number} {word}" for word, number in tally.items())
        with st.expander(literal(title)):
            frame.table(rows[folded], numbers, marked)


def _margins(found: pd.DataFrame, system: str) -> pd.Series:
    """Margins, each with the expanded uncertainty of what is measured where it is known."""
    margin = frame.quantities(found, "margin", system)
    expanded = frame.quantities(found, "uncertainty", system)
    return margin.where(margin.eq("") | expanded.eq(""), margin + " (± " + expanded + ")")


def _with_meaning(kind: str) -> str:
    tip = escape(FINDING_KIND[kind].meaning, quote=True)
    return f'<span title="{tip}">{escape(kind)}</span>'


def _small(text: str) -> str:
    return f"<small>{escape(text)}</small>" if text else ""


def sources(view: data.View, subject: str) -> None:
    """Draw, folded, which rows of which files stand behind each finding."""
    with st.expander("Source rows of each finding", expanded=False):
        rows = data.evidence(view, subject)
        if rows.empty:
            st.markdown("No row of a file stands behind a finding of this pile.")
            return
        names = {"kind": "Finding", "record": "Record", "file": "File", "sheet": "Sheet"}
        frame.table(rows.rename(columns=names | {"rows": "Rows"}))
