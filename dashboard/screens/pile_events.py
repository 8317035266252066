"""What the crew wrote beside the readings and about the runs of one pile, and every reading."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from core import units
from dashboard import data
from dashboard.screens import frame


def show(view: data.View, subject: str, system: str) -> None:
    """Draw events and remarks as written and as read, and, folded, the list of readings."""
    texts = data.recorded(view, subject)
    readings = data.readings(view, subject)
    if texts.empty and readings.empty:
        return
    st.subheader("Events and remarks", anchor="events")
    if texts.empty:
        st.markdown("None is recorded.")
    else:
        frame.table(_texts(texts, system), ("Depth",))
    if len(readings):
        with st.expander(f"Every reading ({len(readings):,})"):
            frame.table(_readings(readings, system), ("Depth", "Torque"))


def _texts(texts: pd.DataFrame, system: str) -> pd.DataFrame:
    beside = texts["depth_mm"].notna()
    depth = texts["depth_mm"].astype(float).map(lambda mm: units.text(mm, "depth_mm", system))
    return pd.DataFrame(
        {
            "Run": texts["run_no"],
            "Depth": depth.where(beside, "remarks"),
            "Recorded text": texts["text"],
            "Read as": texts["event_words"],
        }
    )


def _readings(readings: pd.DataFrame, system: str) -> pd.DataFrame:
    torque = readings["torque_nm"].map(lambda nm: units.text(nm, "torque_nm", system))
    outside = readings["range"] + " range"
    counts = readings["counts"].map({True: "yes", False: "no"})
    depth = readings["depth_mm"].astype(float)
    return pd.DataFrame(
        {
            "Run": readings["run_no"],
            "Depth": depth.map(lambda mm: units.text(mm, "depth_mm", system)),
            "Torque": torque.where(readings["torque_nm"].notna(), outside),
            "Counts": counts,
            "Recorded text": readings["event"].fillna(""),
        }
    )
