"""Columns that are not read, and the questions that headings leave open, each with its answer."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from dashboard import page
from dashboard.data import sheets
from dashboard.literal import literal
from dashboard.screens.intake_desk import PRESSURES, bound, desk

KINDS = {"": "not answered", "differential": "differential pressure", "line": "line pressure"}
WHERE = {"pressure": "in logs and runs", "curve pressure": "on calibration certificates"}


def show(report) -> None:
    """The columns not read, and a choice for each question."""
    _listed(report.not_read)
    problems, held = report.problems, desk()
    stopped = problems.loc[problems["kind"].eq("column not read"), "column"].tolist()
    asked = [
        name
        for name in PRESSURES
        if any(held.answer(name)) or problems["kind"].str.startswith(f"{name} ").any()
    ]
    if not (stopped or asked or held.not_read):
        return
    st.subheader("Questions about headings")
    for name in asked:
        _pressure(name)
    if stopped or held.not_read:
        st.multiselect(
            "Columns not to be read",
            list(dict.fromkeys([*held.not_read, *stopped])),
            placeholder="choose the columns that may be left out",
            help="A column chosen here is left out; the others stop the import.",
            **bound("not_read"),
        )
    st.caption(
        f"Answers are remembered for {literal(held.sender)} with the import."
        if held.sender
        else "Choose the sender at the top of this page to have the answers remembered."
    )


def _pressure(name: str) -> None:
    """Of which kind the pressures are; of line pressures also the return pressure assumed."""
    held, start = desk(), name.replace(" ", "_")
    left, right = st.columns(2, gap="large")
    left.selectbox(
        f"Pressures {literal(WHERE[name])} are",
        list(KINDS),
        format_func=KINDS.get,
        help="Differential: across the motor. Line: at its inlet, with the return pressure in it.",
        **bound(f"{start}_kind"),
    )
    if held.answer(name)[0] == "differential":
        return
    right.text_input(
        f"Return pressure assumed {literal(WHERE[name])}",
        placeholder="such as 8 bar, or: not recorded",
        **bound(f"{start}_return"),
    )
    fault = sheets.answer_fault(name, *held.answer(name))
    if fault:
        st.error(literal(fault))


def _listed(columns: pd.DataFrame) -> None:
    if columns.empty:
        return
    with st.expander(f"Columns not read: {len(columns)}", expanded=False):
        page.table(columns.rename(columns=str.capitalize))
