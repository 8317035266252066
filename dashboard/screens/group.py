"""Parts of the screens that lay the piles of a group over each other."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from dashboard import data, filters
from dashboard.literal import literal
from dashboard.screens import frame

MOST_LINES = 300  # single lines that a browser draws without waiting
MOST_BOLD = 8
MOST_PANELS = 6


def filter_popover(view: data.View) -> None:
    """The filters behind one button that names those in use."""
    used = ", ".join(filters.in_use())
    with st.popover(f"Filter: {literal(used)}" if used else "Filter", key="filter"):
        filters.filter_boxes(data.options(view))
        filters.day_boxes()


def panels_of(piles: pd.DataFrame) -> list[str]:
    """Groups that are drawn: those with most piles, and always that of the pile."""
    sizes = piles["group"].value_counts()
    own = piles.loc[piles["subject"].isin(filters.now().piles[-1:]), "group"].tolist()
    return sorted([*own, *(name for name in sizes.index if name not in own)][:MOST_PANELS])


def bold_of(drawn: pd.DataFrame) -> list[str]:
    """Chosen piles among those drawn, the last ones."""
    held = set(drawn["subject"])
    return [pile for pile in filters.now().piles if pile in held][-MOST_BOLD:]


def the_pile(view: data.View, label: str) -> None:
    """Number and state of the chosen pile, the way to its page under ``label``, and the way out."""
    subject = filters.now().pile
    row = data.pile(view, subject)
    with st.container(horizontal=True, vertical_alignment="center"):
        with st.container(width="content"):
            frame.pile_name(subject)
        if row is not None:
            with st.container(width="content"):
                frame.state_of(row["state"])
        st.page_link("screens/pile.py", label=f"{literal(label)} pile {literal(subject)}")
        st.button("Choose none", on_click=filters.choose, args=((),), key="choose_none")


def few(names: list[str]) -> str:
    """The first of ``names``."""
    return ", ".join(names[:5]) + (" …" if len(names) > 5 else "")


def choosing_chart(figure, name: str, alt: str) -> None:
    """A figure on which a click on a point chooses its pile."""
    st.plotly_chart(
        figure,
        key=filters.key(name),
        on_select=lambda: _clicked(name),
        selection_mode="points",
        config=frame.PLAIN,
        alt=alt,
    )


def _clicked(name: str) -> None:
    points = st.session_state[filters.key(name)]["selection"]["points"]
    named = [point["customdata"][0] for point in points if "customdata" in point]
    if named:
        filters.choose(named[:1])
