"""Every entry of the ledger: what it changed, how its file was read, the file, withdrawal."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import streamlit as st

from core import units
from core.errors import PilewrightError
from dashboard import commands, page
from dashboard.data import importing
from dashboard.literal import literal
from dashboard.screens.import_state import column_word, key, kind_word, number_pair

WITHDRAWAL = "_withdrawal"  # entry, person and note that wait for confirmation
MOST = 5000  # rows drawn at once; the download holds every one
HEADINGS = {
    "entry_no": "Entry",
    "when": "When",
    "person": "By",
    "act": "Action",
    "source": "File",
    "contents": "Rows",
    "status": "Status",
    "note": "Note",
}


def show(where: Path) -> None:
    """All entries, newest first, and the one that is ticked."""
    entries = importing.history(where)
    if done := st.session_state.pop("_import_done", None):
        st.success(literal(done))
    if entries.empty:
        st.markdown("Nothing was imported yet.")
        return
    zone = literal(importing.settings(where).tables.project.time_zone)
    st.caption(f"Times in {zone}. Tick an entry to see what it did.")
    picked = st.dataframe(
        entries[list(HEADINGS)].rename(columns=HEADINGS),
        hide_index=True,
        height=min(420, 38 + 35 * len(entries)),
        key=key("history"),
        on_select="rerun",
        selection_mode="single-row",
        alt="Entries of the ledger, newest first",
    )["selection"]["rows"]
    if picked and picked[0] < len(entries):
        _entry(where, entries.iloc[picked[0]])


def _entry(where: Path, entry: pd.Series) -> None:
    number = int(entry["entry_no"])
    st.subheader(f"Entry {number:d}: {literal(entry['source'] or entry['act'])}")
    st.markdown(literal(f"{entry['when']}, {entry['person']}. {entry['note']}".strip()))
    _changes(where, number)
    if isinstance(entry["mapping"], str):
        _reading(entry["mapping"])
    if isinstance(entry["sha256"], str):
        st.download_button(
            f"Download {literal(entry['source'])} as it was imported",
            lambda: importing.attachment(where, entry["sha256"]),
            entry["source"],
            key=key("attachment"),
            on_click="ignore",
        )
    if entry["status"] == "current" and entry["act"] not in importing.NOT_WITHDRAWN:
        _withdraw(where, entry)


def _changes(where: Path, number: int) -> None:
    try:
        found = importing.changes(where, number)
    except PilewrightError as error:
        st.error(literal(str(error)))
        return
    if found.empty:
        st.markdown("It changed no record.")
        return
    # What differs from before comes first.
    same = found["change"].eq("confirmed by a second source")
    found = found.loc[same.sort_values(kind="stable").index]
    values = zip(found["column"].fillna(""), found["before"], found["after"], strict=True)
    pairs = [number_pair(column, _text(old), _text(new)) for column, old, new in values]
    rows = pd.DataFrame(
        {
            "Change": found["change"],
            "Record": found["kind"].map(kind_word),
            "Key": found["key"],
            "Column": found["column"].fillna("").map(column_word),
            "Unit": found["column"].fillna("").map(units.unit_word),
            "Before": [old for old, _ in pairs],
            "After": [new for _, new in pairs],
            "Sheet": found["sheet"],
            "Row": found["row"],
        }
    )
    counts = found.drop_duplicates(["kind", "key"])["change"].value_counts()
    st.markdown(
        "Records: "
        + ", ".join(f"{count:,} {literal(word)}" for word, count in counts.items())
        + "."
    )
    st.dataframe(
        rows.head(MOST),
        hide_index=True,
        height=min(380, 38 + 35 * len(rows)),
        key=key("changes"),
        alt="What the entry changed",
    )
    if len(rows) > MOST:
        st.caption(f"The first {MOST:,} of {len(rows):,} lines.")


def _text(value: object) -> str:
    return "" if pd.isna(value) else str(value)


def _reading(mapping: str) -> None:
    found = importing.reading(mapping)
    if found.empty:
        return
    with st.expander("How the file was read", expanded=False):
        page.table(
            pd.DataFrame(
                {
                    "Sheet": found["sheet"],
                    "Record": found["kind"].map(kind_word),
                    "Column": found["column"].map(column_word),
                    "Read from": found["header"],
                    "Unit": found["unit"],
                }
            )
        )


def _withdraw(where: Path, entry: pd.Series) -> None:
    """Who withdraws and why; nothing is written before it is confirmed."""
    names, number = importing.may_withdraw(where), int(entry["entry_no"])
    with st.expander("Withdraw this entry", expanded=False):
        if not names:
            st.markdown("Nobody may withdraw yet: give a role the right in project.toml.")
            return
        st.markdown(
            "Its rows no longer count; the values before it are current again. Nothing is deleted."
        )
        with st.form(f"withdraw_{number}", border=False):
            by = st.selectbox("Withdrawn by", names, index=None, placeholder="choose your name")
            note = st.text_input("Note: why")
            sent = st.form_submit_button(f"Withdraw entry {number:d}…")
        if sent:
            st.session_state.pop(WITHDRAWAL, None)
            if by is None:
                st.error("Choose who withdraws. Nothing was written.")
            elif not note.strip():
                st.error("A withdrawal needs a reason. Nothing was written.")
            else:
                st.session_state[WITHDRAWAL] = (number, by, note.strip())
    asked = st.session_state.get(WITHDRAWAL)
    if asked and asked[0] == number:
        _confirm(where, entry, *asked[1:])


def _confirm(where: Path, entry: pd.Series, by: str, note: str) -> None:
    """The entry, the rows that no longer count, and one button for either answer."""
    number = int(entry["entry_no"])
    named = f"{number} ({entry['source'] or entry['act']}, {entry['when']}, {entry['person']})"
    removed = entry["contents"] or "no record"
    st.warning(
        literal(f"Withdraw entry {named}? No longer counted: {removed}. By {by}; note: {note}")
    )
    yes, no, _ = st.columns([1, 1, 3])
    if no.button("Cancel", key=f"keep_{number}"):
        st.session_state.pop(WITHDRAWAL, None)
        st.rerun()
    if not yes.button(f"Confirm withdrawal of entry {number:d}", key=f"confirm_{number}"):
        return
    st.session_state.pop(WITHDRAWAL, None)
    written, refused = commands.withdraw(where, number, by, note)
    if written is None:
        st.error(literal(refused))
        return
    st.session_state["_import_done"] = f"Entry {number} is withdrawn by entry {written}."
    st.rerun()
