"""Columns of the site plan, and the piles that are not on it."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from core import words
from dashboard.data.views import BY_KEY, View, piles


@st.cache_resource(max_entries=16, hash_funcs=BY_KEY, show_spinner=False)
def plan(view: View) -> dict[str, list[Any]]:
    """Columns of the site plan: number, place, state and what the filters ask for."""
    frame = piles(view)
    placed = frame[frame["easting_m"].notna() & frame["northing_m"].notna()]
    order = placed["state"].map(words.STATE_ORDER)
    leaning = placed["azimuth_deg"].where(placed["batter_deg"].fillna(0) > 0)
    return {
        "id": placed["subject"].tolist(),
        "x": placed["easting_m"].round(3).tolist(),
        "y": placed["northing_m"].round(3).tolist(),
        "state": order.astype(int).tolist(),
        "azimuth": [None if pd.isna(angle) else angle for angle in leaning],
        "offset": _offsets(placed),
        "area": placed["area"].fillna("").tolist(),
        "rig": placed["rig"].fillna("").tolist(),
        "type": placed["pile_type"].fillna("").tolist(),
    }


def _offsets(placed: pd.DataFrame) -> list[list[float] | None]:
    """Eastward and northward offset as built [mm] of each pile; None where none is surveyed."""
    pairs = placed[["offset_east_mm", "offset_north_mm"]].astype(float).round(1)
    known = pairs.notna().all(axis=1)
    return [
        pair if there else None
        for pair, there in zip(pairs.to_numpy().tolist(), known, strict=True)
    ]


def unplaced(view: View) -> list[str]:
    """Numbers of the piles that have no coordinates and so are not on the plan."""
    frame = piles(view)
    return frame.loc[frame["easting_m"].isna() | frame["northing_m"].isna(), "subject"].tolist()
