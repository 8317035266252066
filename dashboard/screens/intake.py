"""Intake: files dropped, looked at, put right and taken in as one act; what was taken in before."""

from __future__ import annotations

import streamlit as st

from core.errors import PilewrightError
from dashboard import page
from dashboard.data import history, intake, sheets, views
from dashboard.literal import literal
from dashboard.screens import (
    intake_commit,
    intake_conflicts,
    intake_files,
    intake_headings,
    intake_history,
    intake_layouts,
    intake_mapping,
    intake_numbers,
    intake_problems,
    intake_stamps,
)
from dashboard.screens.intake_desk import desk

PARTS = ("Take files in", "History", "Layouts", "Stamps")


def main() -> None:
    """Draw the screen."""
    where = views.folder()
    page.title(intake.settings(where).tables.project.name, _stamp(history.history(where)))
    part = st.segmented_control(
        "Part", PARTS, default=PARTS[0], key="intake_part", required=True,
        label_visibility="collapsed",
    )  # fmt: skip
    if part == "History":
        intake_history.show(where)
    elif part == "Layouts":
        intake_layouts.show(where)
    elif part == "Stamps":
        intake_stamps.show(where)
    else:
        _take_in(where)


def _stamp(entries) -> str:
    if entries.empty:
        return "No entry in the ledger yet."
    last = entries.iloc[0]
    return f"Data as of entry {last['entry_no']}, written {last['when']} by {last['person']}."


def _take_in(where) -> None:
    if desk().job is not None:
        intake_commit.watch()
        return
    intake_commit.told()
    if not intake_files.who(where):
        return
    intake_files.drop()
    if not desk().files:
        return
    try:
        report = intake_files.tried(where)
        files = list(desk().files.values())
        lines = sheets.lines(where, files, desk().choice(where), report)
        intake_files.understood(where, lines, report)
        intake_headings.show(report)
        intake_mapping.show(where, lines)
        intake_numbers.show(where)
        intake_problems.show(report)
        intake_conflicts.show(where, report)
        intake_commit.offer(where, report)
    except PilewrightError as error:
        st.error(literal(str(error)))


main()
