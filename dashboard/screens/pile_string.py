"""The last string of one pile: the drawing from head to toe, and the chain of its steel."""

from __future__ import annotations

from html import escape

import pandas as pd
import streamlit as st

from core import units
from dashboard import data
from dashboard.charts.leaning import Axis
from dashboard.charts.string import string_drawing
from dashboard.literal import literals
from dashboard.screens import frame, pile_numbers

LEGEND = (
    "Along the axis to scale; across it three times as wide. The settings place the top helix; "
    "those below are drawn three diameters apart (trade practice)."
)


def has_any(view: data.View, subject: str) -> bool:
    """Whether a string is recorded."""
    return not data.string_placed(view, subject).empty


def show(view: data.View, row: pd.Series, system: str) -> None:
    """Draw the string, its components and where the trace of each stops."""
    subject = row["subject"]
    st.subheader("String", anchor="string")
    left, right = st.container(key="beside_string").columns([1, 1.2], gap="large")
    with left:
        _drawing(view, row, system)
    with right:
        _chain(data.string_placed(view, subject), system)
        pile_numbers.table(row, "steel", system)
        if earlier := data.earlier_strings(view, subject):
            st.caption(f"Also recorded: a string of run {literals(earlier)}, not drawn.")


def _drawing(view: data.View, row: pd.Series, system: str) -> None:
    held = data.string_layout(view, row["subject"], row)
    if pd.isna(held.toe_mm) or pd.isna(held.batter_deg):
        st.markdown("Not drawn: the depth of the toe or the batter is not recorded.")
        return
    axis = Axis(
        batter_deg=held.batter_deg,
        azimuth_deg=held.azimuth_deg,
        shaft_mm=held.shaft_mm,
        first_disc_mm=held.first_disc_mm,
        disc_mm=held.disc_mm,
        cut_off_level_mm=held.cut_off_level_mm,
        cut_mm=held.cut_mm,
    )
    figure = data.drawn(
        "string",
        (view.key, row["subject"], system),
        lambda: string_drawing(held.parts, held.helices, held.column, axis, system),
    )
    frame.fixed_chart(figure, "string", f"String of pile {row['subject']} from head to toe")
    st.caption(LEGEND)


def _chain(rows: pd.DataFrame, system: str) -> None:
    length = rows["length_mm"].map(lambda value: units.text(_plain(value), "length_mm", system))
    repeated = rows["place"].duplicated()
    shown = pd.DataFrame(
        {
            "Place": rows["place"].astype(str).where(~repeated, ""),
            "Kind": _cell(rows["component"].fillna("not on the register"), rows["piece"]),
            "Stamp": rows["stamp"].where(~repeated, ""),
            "Length": length.where(~repeated, ""),
            "Heat": _cell(rows["heat"].fillna(""), rows["mill"]),
            "Certificate": _cell(rows["certificate"].fillna(""), _paper(rows)),
            "Break": rows["break"].fillna(""),
        }
    )
    frame.table(shown, ("Place", "Length"), ("Kind", "Heat", "Certificate"))


def _plain(value: object) -> float:
    return float("nan") if pd.isna(value) else float(value)


def _cell(first: pd.Series, second: pd.Series) -> pd.Series:
    """Two texts in one cell, the second small."""
    small = "<small>" + second.fillna("").astype(str).map(escape) + "</small>"
    return first.map(escape) + small.where(second.fillna("").ne(""), "")


def _paper(rows: pd.DataFrame) -> pd.Series:
    kind = ("type " + rows["certificate_type"]).fillna("")
    return kind + (", page " + rows["page"]).fillna("")
