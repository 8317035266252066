"""As-built survey of one pile: the sketch in plan, what was measured, and earlier surveys."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from dashboard import data
from dashboard.charts.survey_sketch import Limit, survey_sketch
from dashboard.literal import literal
from dashboard.screens import frame, pile_numbers


def has_any(view: data.View, subject: str) -> bool:
    """Whether a survey is recorded."""
    return not data.pile_surveys(view, subject).empty


def show(view: data.View, row: pd.Series, system: str) -> None:
    """Draw where the pile stands against where it should, with the numbers beside."""
    subject = row["subject"]
    surveys = data.pile_surveys(view, subject)
    st.subheader("Survey", anchor="survey")
    left, right = st.container(key="beside_survey").columns([1, 1.2], gap="large")
    with left:
        _sketch(view, row, surveys, system)
    with right:
        pile_numbers.table(row, "survey", system)
        _surveys(surveys, system)


def _sketch(view: data.View, row: pd.Series, surveys: pd.DataFrame, system: str) -> None:
    limit = Limit(*data.offset_limit(view, row["pile_type"]))
    leans = row["azimuth_deg"] if row["batter_deg"] > 0 else float("nan")
    figure = data.drawn(
        "survey",
        (view.key, row["subject"], system),
        lambda: survey_sketch(surveys, limit, leans, system),
    )
    frame.fixed_chart(figure, "survey", f"Pile {row['subject']} as built, against its design")
    point = "design point"
    if pd.notna(row["instruction"]):
        point = f"point of instruction {row['instruction']}"
    st.caption(f"Both at cut-off level, along the axis; the cross is the {literal(point)}.")


def _surveys(surveys: pd.DataFrame, system: str) -> None:
    shown = pd.DataFrame(
        {
            "Survey": surveys["survey_stage"],
            "Day": surveys["surveyed_on"].dt.strftime("%Y-%m-%d"),
            "Offset": frame.texts(surveys, "plan_offset_mm", system),
            "Axis": frame.texts(surveys, "axis_angle_deg", system),
            "Head": frame.texts(surveys, "head_level_difference_mm", system),
            "Surveyor": surveys["surveyor"].fillna(""),
            "Reviewed by": surveys["reviewed_by"].fillna("not reviewed"),
            "": surveys["judges"].map({True: "judged", False: ""}),
        }
    )
    frame.table(shown, ("Offset", "Axis", "Head"))
