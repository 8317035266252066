"""Worksheet of one pile: how each number comes about, for an engineer to do again by hand."""

from __future__ import annotations

from html import escape

import pandas as pd
import streamlit as st

from core import units
from dashboard import data, filters
from dashboard.literal import literal
from dashboard.screens import frame


def ways(row: pd.Series) -> list[str]:
    """The sections that this part draws: none for a position without a pile."""
    return [] if pd.isna(row["pile_id"]) else ["Worksheet"]


def show(view: data.View, row: pd.Series, system: str) -> None:
    """Draw the switch, and under it a table of steps per subject."""
    if not ways(row):
        return
    st.subheader("Worksheet", anchor="worksheet")
    if not filters.worksheet_switch():
        return
    steps = data.worksheet(view, row["pile_id"])
    if not steps:
        st.markdown("The records of this pile give no number yet.")
        return
    st.markdown(
        "Equations take numbers in the units beside them. Each number says the file, sheet and row "
        "it was read from; *above* is the result of an earlier step."
    )
    for subject in dict.fromkeys(step.subject for step in steps):
        st.markdown(f"**{literal(subject.capitalize())}**")
        _table([step for step in steps if step.subject == subject], system)


def _table(steps: list, system: str) -> None:
    rows = pd.DataFrame(
        {
            "Number": [escape(step.title) for step in steps],
            "Equation and numbers put in": [_worked(step) for step in steps],
            "Result": [_result(step, system) for step in steps],
            "Source": [f"<small>{escape(step.source)}</small>" for step in steps],
        }
    )
    frame.table(rows, marked=tuple(rows.columns))


def _worked(step) -> str:
    """The equation, and under it each number with what it is and where it comes from."""
    lines = [f'<div class="pw-equation">{escape(step.equation)}</div>'] if step.equation else []
    lines += [
        f"<div><b>{escape(number)}</b> <small>{escape(said)}</small></div>"
        for number, said in step.inputs
    ]
    return "".join(lines)


def _result(step, system: str) -> str:
    lines = [f'<b class="pw-result">{escape(step.result)}</b>']
    if step.measure and pd.notna(step.value):
        shown = units.text(step.value, step.measure, system)
        lines.append(f'<small class="pw-result">shown as {escape(shown)}</small>')
    if step.note:
        lines.append(f"<small>{escape(step.note)}</small>")
    return "".join(lines)
