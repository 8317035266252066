"""The last step: what will happen, the act itself with its progress, and what came of it."""

from __future__ import annotations

from pathlib import Path

import streamlit as st

from dashboard import commands
from dashboard.literal import literal
from dashboard.screens.intake_desk import counted, desk, key

COUNTED = {
    "added": "new",
    "superseded": "corrected",
    "corroborated": "confirmed by a second source",
    "removed": "removed",
    "unchanged": "duplicate",
    "skipped": "skipped",
}
WRITTEN = ("added", "superseded", "corroborated", "removed")


def offer(where: Path, report) -> None:
    """Say what the act will do, and do it when asked."""
    held = desk()
    st.subheader("4 · Take in")
    obstacles = _obstacles(report)
    for obstacle in obstacles:
        st.markdown(f"- {literal(obstacle)}")
    if not report.refused:
        st.markdown(literal(f"{_counts(report)}."))
    rows = sum(report.rows[word] for word in WRITTEN)
    files = counted(len(held.files), "file")
    label = f"Take in {counted(rows, 'row')} from {files} as one act"
    if st.button(
        label if not report.refused else "Take in",
        key=key("take_in"),
        type="primary",
        disabled=bool(obstacles),
    ):
        contents = [(file.name, file.content) for file in held.files.values()]
        held.said, held.refused = "", ""
        held.job = commands.ImportJob(where, contents, held.by, held.choice(where))
        st.rerun()


def _obstacles(report) -> list[str]:
    held = desk()
    found = []
    if held.by is None:
        found.append("Choose who takes the files in, at the top of this page.")
    if report.refused and len(report.questions):
        found.append("Confirm the pile numbers that are on no schedule.")
    if report.refused and len(report.problems) > len(report.questions):
        found.append(
            "Settle the problems above: answer what is asked, or correct the files and drop them "
            "again. Or leave those rows out."
        )
    if report.refused and len(report.conflicts):
        found.append("Decide the conflicts, or leave those rows out.")
    if not report.refused and not sum(report.rows[word] for word in WRITTEN):
        found.append("Nothing is new: the ledger holds every row of these files already.")
    return found


def _counts(report) -> str:
    parts = [f"{report.rows[word]:,} {text}" for word, text in COUNTED.items() if report.rows[word]]
    return "Rows: " + (", ".join(parts) or "none")


@st.fragment(run_every="1s")
def watch() -> None:
    """Progress of the act, and a way to stop it; the page is drawn anew when it has ended."""
    held = desk()
    job = held.job
    if job is None:
        return
    if job.done:
        held.job = None
        _ended(held, *job.outcome())
        st.rerun(scope="app")
    st.subheader("Taking in")
    st.markdown(f"{literal(job.step.capitalize())} … ({job.seconds:d} s)")
    if job.is_cancelled:
        st.markdown("Stopping; what was written so far is taken back.")
    else:
        st.button("Cancel", key=key("cancel"), on_click=job.cancel)
    st.caption("You may look at other pages meanwhile; it goes on.")


def _ended(held, report, refusal: str) -> None:
    held.entries = []
    if report is None:
        held.refused = refusal
    elif report.refused:
        held.refused = "The ledger changed meanwhile; nothing was written. Look at it once more."
    else:
        held.entries = report.entries
        numbers = ", ".join(map(str, report.entries)) or "none"
        held.said = f"Taken in. Entries written: {numbers}. {_counts(report)}."
        held.clear()


def told() -> None:
    """What came of the last act."""
    held = desk()
    if held.refused:
        st.error(literal(held.refused))
    if not held.said:
        return
    st.success(literal(held.said))
    if not held.entries:
        return
    with st.container(horizontal=True):
        st.page_link("screens/site_plan.py", label="See the piles on the plan")
        st.page_link("screens/overview.py", label="See the overview")
