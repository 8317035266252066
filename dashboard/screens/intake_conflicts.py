"""Conflicts side by side: what a file says, what stands and who said it; a choice for each row."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import streamlit as st

from core import units
from dashboard.data import history, intake
from dashboard.literal import literal
from dashboard.screens import intake_files
from dashboard.screens.intake_desk import bound, counted, desk, key

CHOICES = {"file": "replace current value", "current": "keep current value"}
DECIDED = {"file": "this file", "current": "current value", "": "open"}


def show(where: Path, report) -> None:
    """The conflicts with the choices made, and the rows that the earlier version had."""
    _conflicts(where)
    _missing(report)


def _conflicts(where: Path) -> None:
    held = desk()
    found = intake.tried(
        where,
        list(held.files.values()),
        held.by or intake.people(where)[0],
        held.choice(where, settled={}, replace=False),
    ).conflicts
    if found.empty or held.replace:
        return
    stood = dict(zip(_places(found), _entries(found), strict=True))
    open_rows = [row for row, entry in stood.items() if _decision(row, entry) == "open"]
    st.subheader(f"Conflicts: {counted(len(stood), 'row')} with another word than the ledger")
    st.markdown(_to_decide(len(open_rows)))
    picked = st.dataframe(
        _side_by_side(where, found),
        hide_index=True,
        height=min(420, 38 + 35 * len(found)),
        key=key("conflicts"),
        on_select="rerun",
        selection_mode="multi-row",
        alt="Conflicts between the dropped files and the ledger",
    )["selection"]["rows"]
    places = _places(found)
    ticked = [places[at] for at in picked if at < len(places)]
    with st.container(horizontal=True):
        for word, text in CHOICES.items():
            which = f"{len(ticked)} ticked" if ticked else "all"
            st.button(
                f"{literal(text.capitalize())} ({literal(which)})",
                key=key(f"settle_{word}"),
                on_click=_settle,
                args=({row: stood[row] for row in ticked or stood}, word),
            )


def _to_decide(count: int) -> str:
    if not count:
        return "Every row is decided."
    if desk().skip_bad_rows:
        return f"Not decided, and so left out: {counted(count, 'row')}. Tick rows and choose."
    return f"To be decided: {counted(count, 'row')}. Tick some and choose, or choose for all."


def _places(found: pd.DataFrame) -> list[tuple[str, str, str, int]]:
    columns = (found[name] for name in ("kind", "file", "sheet", "row"))
    return [(kind, file, sheet, int(row)) for kind, file, sheet, row in zip(*columns, strict=True)]


def _entries(found: pd.DataFrame) -> list[int | None]:
    return [None if pd.isna(entry) else int(entry) for entry in found["current_entry_no"]]


def _settle(stood: dict, word: str) -> None:
    desk().settled |= {row: (word, entry) for row, entry in stood.items()}


def _decision(row, entry: int | None) -> str:
    """The choice made for a row, unless what stands has changed since."""
    word, seen = desk().settled.get(row, ("", None))
    return DECIDED[word if seen == entry else ""]


def _side_by_side(where: Path, found: pd.DataFrame) -> pd.DataFrame:
    both = zip(_places(found), _entries(found), strict=True)
    chosen = [_decision(row, entry) for row, entry in both]
    return pd.DataFrame(
        {
            "Decided": chosen,
            "Record": found["kind"].map(intake_files.kind_word),
            "Key": found["key"],
            "Column": found["column"].map(intake_files.column_word),
            "Unit": found["column"].map(units.unit_word),
            "This file says": found["value"].astype(str),
            "Stands now": found["current_value"].astype(str),
            "Said by": found["person"],
            "On": history.local(where, found["entered_at"]),
            "In": found["current_file"].fillna("a form"),
            "Its row": found["current_row"],
            "File": found["file"],
            "Sheet": found["sheet"],
            "Row": found["row"],
        }
    )


def _missing(report) -> None:
    gone = report.missing_keys
    if gone.empty and not desk().replace:
        return
    if len(gone):
        st.subheader(f"Rows of the earlier version that are missing now: {len(gone):,}")
        rows = pd.DataFrame(
            {
                "File": gone["file"],
                "Sheet": gone["sheet"],
                "Record": gone["kind"].map(intake_files.kind_word),
                "Key": gone["key"],
            }
        )
        st.dataframe(rows, hide_index=True, key=key("missing"), alt="Rows that are missing now")
    st.toggle(
        "These files replace their earlier version",
        help="On: rows that the earlier version had and this one has not are removed, and where "
        "these files differ from another's word, theirs is taken.",
        **bound("replace"),
    )
