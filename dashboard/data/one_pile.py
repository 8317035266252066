"""One pile: its row, its findings, its readings and the source rows behind them."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from core import records, words
from dashboard.data.views import BY_KEY, View, piles


def pile(view: View, subject: str) -> pd.Series | None:
    """The row of one pile, or None when there is none of that number."""
    frame = piles(view)
    found = frame[frame["subject"] == subject]
    return None if found.empty else found.iloc[0]


def replacements(view: View, subject: str) -> list[str]:
    """Numbers of the piles that serve in place of ``subject``."""
    frame = piles(view)
    return frame.loc[frame["replaces"] == subject, "subject"].tolist()


def findings(view: View, subject: str) -> pd.DataFrame:
    """Findings of one pile, worst first."""
    frame = view.assessment.findings
    own = (frame["pile_id"] == subject) | (
        (frame["subject"] == subject) & frame["subject_kind"].isin(["pile", "position"])
    )
    return frame[own].reset_index(drop=True)


def reasons(view: View, subject: str) -> pd.DataFrame:
    """The findings of one pile that object to its acceptance, worst first."""
    own = findings(view, subject)
    return own[own["result"].map(words.RESULT_STATE).notna()]


def readings(view: View, subject: str) -> pd.DataFrame:
    """Readings of one pile by run and depth, with the bound of those outside the range.

    ``bound_torque_nm`` is the torque that a reading is known to lie above or below;
    ``event_sort`` is ``judged``, ``other``, ``neutral``, or empty where no event is written.
    """
    frame = view.assessment.measured.profile
    own = frame[frame["pile_id"] == subject]
    ceiling = own.get("ceiling_torque_nm", pd.Series(float("nan"), index=own.index))
    bound = own["torque_lower_bound_nm"].where(own["range"].eq("above"), ceiling)
    order = [name for name in ("run_order", "run_no", "depth_mm") if name in own.columns]
    sort = _event_sort(own["event_words"])
    return own.assign(bound_torque_nm=bound, event_sort=sort).sort_values(order)


def _event_sort(event_words: pd.Series) -> pd.Series:
    judged = {event.word for event in records.JUDGED_EVENTS}

    def sort(text: str) -> str:
        named = set(text.split(", ")) - {""}
        if named & judged:
            return "judged"
        return "other" if records.OTHER_TEXT in named else "neutral" if named else ""

    return event_words.map(sort).astype("str")


def recorded(view: View, subject: str) -> pd.DataFrame:
    """Events and remarks of one pile as they were written, in the order of the work."""
    frame = view.assessment.measured.recorded
    return frame[frame["pile_id"] == subject].reset_index(drop=True)


@st.cache_resource(max_entries=128, hash_funcs=BY_KEY, show_spinner=False)
def evidence(view: View, subject: str) -> pd.DataFrame:
    """Source rows of a pile's findings: kind, record, file, sheet, rows as ranges."""
    frame = view.assessment.evidence(subject)
    if frame.empty:
        return frame.assign(rows=pd.Series(dtype=str))
    keys = ["kind", "record", "file", "sheet"]
    frame = frame.drop_duplicates([*keys, "row"]).sort_values([*keys, "row"])
    starts = frame.groupby(keys, dropna=False)["row"].diff().ne(1).fillna(True)
    spans = frame.assign(span=starts.cumsum()).groupby([*keys, "span"], sort=False, dropna=False)
    ends = spans["row"].agg(["min", "max"]).reset_index()
    first, last = ends["min"].astype("Int64").astype(str), ends["max"].astype("Int64").astype(str)
    ends["rows"] = first.where(ends["min"] == ends["max"], first + "–" + last)
    return ends.groupby(keys, sort=False, dropna=False)["rows"].agg(", ".join).reset_index()
