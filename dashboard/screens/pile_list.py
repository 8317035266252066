"""A list of piles with numbers under a figure; ticked rows choose their piles."""

from __future__ import annotations

from dataclasses import dataclass, field

import pandas as pd
import streamlit as st

from core import units, words
from dashboard import filters, theme

FEW_ROWS = 10


@dataclass
class PileList:
    """Columns of the list and how each of its numbers is printed."""

    found: pd.DataFrame
    system: str
    rows: dict[str, object] = field(default_factory=dict)
    formats: dict[str, object] = field(default_factory=dict)

    def __post_init__(self) -> None:
        state = self.found["state"]
        letters = state.map(lambda word: words.STATE[word].letter)
        self.rows |= {"pile": self.found["subject"], "state": letters + " · " + state}
        self.formats["pile"] = st.column_config.TextColumn(pinned=True)
        self.formats["state"] = st.column_config.TextColumn(width=170)

    def result(self, column: str, heading: str) -> None:
        """Add results with their signs."""
        values = self.found[column]
        signs = values.map(theme.RESULT_SIGNS).fillna("")
        self.rows[heading] = (signs + " " + values).str.strip()

    def number(self, column: str, heading: str, plain: str, fewest_decimals: int = 0) -> None:
        """Add numbers in the units shown; ``plain`` is the format of one without a unit."""
        unit, values = units.shown_unit(column, self.system), self.found[column].astype(float)
        if unit:
            heading = f"{heading} [{unit.symbol}]"
            values = units.shown_values(values, column, self.system)
            plain = f"%.{max(unit.decimals, fewest_decimals)}f"
        self.rows[heading] = values
        self.formats[heading] = st.column_config.NumberColumn(format=plain)

    def draw(self, name: str, alt: str) -> None:
        """Draw the list."""
        subjects = self.found["subject"].tolist()
        key = filters.key(f"{name}_{hash(tuple(subjects))}")
        st.dataframe(
            pd.DataFrame(self.rows),
            hide_index=True,
            height=420 if len(subjects) > FEW_ROWS else "auto",
            key=key,
            column_config=self.formats,
            placeholder="no value",
            on_select=lambda: _picked(key, subjects),
            selection_mode="multi-row",
            alt=alt,
        )


def _picked(key: str, subjects: list[str]) -> None:
    picked = st.session_state[key]["selection"]["rows"]
    filters.choose(subjects[place] for place in picked)
