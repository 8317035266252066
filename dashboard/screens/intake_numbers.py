"""Pile numbers that may be a slip: one question each, which pile is meant."""

from __future__ import annotations

from pathlib import Path

import streamlit as st

from dashboard.data import intake
from dashboard.literal import literal
from dashboard.screens.intake_desk import counted, desk, key


def show(where: Path) -> None:
    """A choice per number: the scheduled pile that it resembles, or another pile."""
    held = desk()
    by = held.by or intake.people(where)[0]
    choice = held.choice(where, pile_numbers={})
    found = intake.tried(where, list(held.files.values()), by, choice).questions
    if found.empty:
        return
    st.subheader(f"Pile numbers to confirm: {counted(found['written'].nunique(), 'number')}")
    st.markdown("No schedule has these numbers; each is one character from a pile without a run.")
    for row in found.drop_duplicates("written").to_dict("records"):
        _ask(row)


def _ask(row: dict) -> None:
    written, meant = row["written"], row["meant"]
    own = key(f"pile_number_{written}")
    names = {meant: f"{meant} of the schedule", written: f"{written} is another pile"}
    answer = desk().pile_numbers.get(written)
    st.session_state[own] = answer if answer in names else None
    place = f"{row['file']}, row {row['row']}, {counted(row['rows'], 'row')}"
    st.radio(
        literal(f"{written} ({place}): did you mean {meant}?"),
        list(names),
        index=None,
        format_func=lambda number: literal(names[number]),
        horizontal=True,
        key=own,
        on_change=_answer,
        args=(written, own),
    )


def _answer(written: str, own: str) -> None:
    desk().pile_numbers[written] = st.session_state[own]
