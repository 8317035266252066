"""Steel, grout and survey of one pile, and the limits that its findings name."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from core import services
from dashboard.data.one_pile import findings
from dashboard.data.views import BY_KEY, View

# Findings whose limit a figure draws, and the setting that gives it.
TAKE_LIMITS = {
    "grout take": "min_cumulative_ratio",
    "grout take in a lift": "min_lift_ratio",
    "grout take above the alarm": "alarm_ratio",
}


def string_placed(view: View, subject: str) -> pd.DataFrame:
    """One row per piece of steel in the last string of one pile, the head first."""
    rows = services.string_placed(view.assessment, subject)
    return rows.sort_values("place", ascending=False, kind="stable").reset_index(drop=True)


@st.cache_resource(max_entries=128, hash_funcs=BY_KEY, show_spinner=False)
def string_layout(view: View, subject: str, _pile: pd.Series) -> Any:
    """Where the last string of one pile lies, as `core.services.StringLayout` says."""
    return services.string_layout(view.assessment, _pile)


def earlier_strings(view: View, subject: str) -> list[str]:
    """Numbers of the runs of one pile whose string is not its last."""
    chain = view.assessment.measured.chain
    own = chain[chain["pile_id"].eq(subject) & ~chain["latest"]]
    return own["run_no"].drop_duplicates().tolist()


def pile_lifts(view: View, subject: str) -> pd.DataFrame:
    """Lifts of one pile in the order of the work, and where a gap lies between them."""
    return services.lifts_of_pile(view.assessment, subject)


def pile_specimens(view: View, subject: str) -> pd.DataFrame:
    """Specimens of the sample groups that stand for one pile, by group and age."""
    sampled, frame = view.assessment.measured.sampled, view.assessment.measured.specimens
    groups = sampled.loc[sampled["pile_id"].eq(subject), "sample_group_id"]
    return frame[frame["sample_group_id"].isin(groups)].reset_index(drop=True)


def take_limits(view: View, subject: str) -> dict[str, float]:
    """Limits of the take of one pile by the name of their setting, those that are set."""
    found = findings(view, subject).dropna(subset=["limit_value"])
    held = found[found["kind"].isin(TAKE_LIMITS)]
    return dict(zip(held["kind"].map(TAKE_LIMITS), held["limit_value"], strict=True))


def pile_surveys(view: View, subject: str) -> pd.DataFrame:
    """Surveys of one pile, the latest first, with their deviations."""
    frame = view.assessment.measured.surveys
    own = frame[frame["pile_id"].eq(subject)]
    return own.sort_values("surveyed_on", ascending=False, kind="stable").reset_index(drop=True)


def final_window(view: View, pile_type: str, system: str) -> str:
    """Length of the final window of a type, as written in the settings."""
    return view.assessment.project.parameter_text(pile_type, "required_torque", "window_mm", system)


def offset_limit(view: View, pile_type: str) -> tuple[float, bool]:
    """Greatest offset in plan of a type [mm], and whether it holds for each axis by itself."""
    rows = view.assessment.project.criteria("plan_offset")
    rows = rows[rows["pile_type"].eq(pile_type) & rows["criterion_status"].eq("set")]
    if rows.empty:
        return float("nan"), False
    return float(rows["max_mm"].iloc[0]), rows["measured"].iloc[0] == "per axis"
