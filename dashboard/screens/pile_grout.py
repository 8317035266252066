"""Grout of one pile: what went in against the room for it, lift by lift, and its strength."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from core import units
from dashboard import data
from dashboard.charts.lifts import lifts_of_pile
from dashboard.screens import frame, pile_numbers

CAUTION = (
    "A lift's volume is not the take at that depth: grout is fed at the top and drawn down, so a "
    "loss or a neck may be anywhere above.",
)
VOLUMES = {
    "batched_l": "Batched",
    "left_l": "Left",
    "spilled_l": "Spilled",
    "returned_l": "Returned",
    "net_l": "Net",
    "void_l": "Void",
}


def has_any(view: data.View, subject: str) -> bool:
    """Whether grout or a sample of it is recorded."""
    lifts, specimens = data.pile_lifts(view, subject), data.pile_specimens(view, subject)
    return not (lifts.empty and specimens.empty)


def show(view: data.View, row: pd.Series, system: str) -> None:
    """Draw lifts, volumes and samples."""
    subject = row["subject"]
    st.subheader("Grout", anchor="grout")
    lifts = data.pile_lifts(view, subject)
    left, right = st.container(key="beside_grout").columns([1.35, 1], gap="large")
    with left:
        if lifts.empty:
            st.markdown("No placement is recorded.")
        else:
            _take(view, subject, lifts, system)
    with right:
        pile_numbers.table(row, "grout", system)
        _strengths(data.pile_specimens(view, subject), system)
    if not lifts.empty:
        _lifts(lifts, system)
        frame.cautions(CAUTION)


def _take(view: data.View, subject: str, lifts: pd.DataFrame, system: str) -> None:
    limits = data.take_limits(view, subject)
    figure = data.drawn(
        "lifts", (view.key, subject, system), lambda: lifts_of_pile(lifts, limits, system)
    )
    st.plotly_chart(
        figure,
        key="lifts",
        config=frame.PLAIN,
        alt=f"Net grout against void of pile {subject} by lift, with take ratios",
    )


def _lifts(lifts: pd.DataFrame, system: str) -> None:
    way = lifts[["from_mm", "to_mm"]].map(lambda depth: units.text(depth, "to_mm", system))
    shown = pd.DataFrame(
        {
            "Lift": lifts["lift_no"].replace("", "gap"),
            "Run": lifts["run_no"].fillna(""),
            "Toe from": way["from_mm"],
            "to": way["to_mm"],
        }
    )
    for column, word in VOLUMES.items():
        shown[word] = frame.texts(lifts, column, system)
    shown["Take"] = frame.texts(lifts, "take_ratio", system)
    shown["Pile so far"] = frame.texts(lifts, "cumulative_ratio", system)
    shown["Measured by"] = lifts["how_measured"].fillna("")
    shown["Least step"] = frame.texts(lifts, "resolution_l", system)
    shown["Batches"] = lifts["batches"].fillna("")
    shown["Placed"] = lifts["placed_on"].dt.strftime("%Y-%m-%d").fillna("")
    shown["Not known"] = lifts["missing"]
    numbers = ("Toe from", "to", *VOLUMES.values(), "Take", "Pile so far", "Least step")
    frame.table(
        shown.loc[:, shown.ne("").any()], tuple(n for n in numbers if shown[n].ne("").any())
    )


def _strengths(specimens: pd.DataFrame, system: str) -> None:
    st.markdown("**Sample groups**")
    if specimens.empty:
        st.markdown("No sample group stands for this pile.")
        return
    strength = frame.texts(specimens, "strength_mpa", system)
    due = "due " + specimens["due_on"].dt.strftime("%Y-%m-%d")
    shown = pd.DataFrame(
        {
            "Group": specimens["sample_group_id"],
            "Specimen": specimens["specimen_id"],
            "Age": frame.texts(specimens, "age_days", system),
            "Strength": strength.where(specimens["strength_mpa"].notna(), due),
            "Batch": specimens["batch_id"].fillna(""),
            "Piles": specimens["piles"].map("{:,}".format),
        }
    )
    frame.table(shown, ("Age", "Strength", "Piles"))
