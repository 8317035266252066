"""Problems of the dropped files, each in its place, and the choice to leave those rows out."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from dashboard import page
from dashboard.data import intake
from dashboard.screens.intake_desk import bound, counted, desk, key

HEADINGS = {
    "file": "File",
    "sheet": "Sheet",
    "row": "Row",
    "column": "Column",
    "value": "Value",
    "problem": "Problem",
    "remedy": "What to do",
}
EVERY = "all files"
FEW, MOST = 6, 200  # rows that stand without scrolling, rows that are drawn


def show(report) -> None:
    """The problems as a table that can be filtered and downloaded."""
    problems = report.problems
    if problems.empty:
        if desk().skip_bad_rows:
            _leave_out(report)
        return
    st.subheader(f"Problems: {len(problems):,}")
    with st.container(horizontal=True, vertical_alignment="bottom"):
        with st.container(width=320):
            files = [EVERY, *problems["file"].unique()]
            chosen = st.selectbox("Show the problems of", files, key=key("problems_of"))
        rows = _rows(problems if chosen == EVERY else problems[problems["file"] == chosen])
        st.download_button(
            "Download as CSV",
            intake.problems_file(rows),
            "problems.csv",
            "text/csv",
            key=key("problems_csv"),
            on_click="ignore",
        )
    with st.container(height=420 if len(rows) > FEW else "content"):
        page.table(rows.head(MOST), ("Row",))
    if len(rows) > MOST:
        st.caption(f"The first {MOST} of {len(rows):,}; the download holds every one.")
    _leave_out(report)


def _rows(problems: pd.DataFrame) -> pd.DataFrame:
    return problems[list(HEADINGS)].rename(columns=HEADINGS)


def _leave_out(report) -> None:
    count = counted(report.rows["skipped"], "row")
    st.toggle(
        f"Leave out the {count} with a problem or an undecided conflict, and take the rest",
        help="Off: any problem stops everything. On: these rows are not taken in; take the "
        "corrected file in later and only they are added.",
        **bound("skip_bad_rows"),
    )
