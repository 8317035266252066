"""Tables of the Steel screen: headings, units, and what ticking a row does."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import pandas as pd
import streamlit as st

from core import units, words
from dashboard import filters, theme

HEIGHT, ROW, MOST_HIGH = 38, 35, 420
WIDE = {"break": 400, "note": 420}
YES_NO = {True: "yes", False: "no"}
TOLD = {"latest": {True: "yes", False: "earlier run"}, "listed": YES_NO, "other_listed": YES_NO}
HEADINGS = {
    "result": "Result",
    "pile_id": "Pile",
    "area": "Area",
    "state": "State",
    "stage": "Work",
    "place": "Place from the toe",
    "component": "Component",
    "piece": "Piece",
    "stamp": "Stamp",
    "break": "Where the chain stops",
    "cut_from": "Cut from",
    "mill": "Mill",
    "heat": "Heat",
    "looks_like": "Looks like",
    "listed": "On a certificate",
    "other_listed": "The other on a certificate",
    "certificate": "Certificate",
    "certificate_type": "Type",
    "certificate_type_asked": "Type asked",
    "page": "Page",
    "lot": "Lot",
    "delivery_id": "Delivery",
    "supplier": "Supplier",
    "delivered_on": "Delivered on",
    "not_placed": "Not placed",
    "too_many": "Too many",
    "quantity": "Delivered",
    "placed": "In the ground",
    "left_over": "Left over",
    "scrapped": "Scrapped",
    "pieces": "Pieces",
    "other_pieces": "Pieces of the other",
    "length_mm": "Length",
    "breaks": "Breaks",
    "issuer": "Issued by",
    "issued_on": "Issued on",
    "standard": "Standard",
    "grade": "Grade",
    "checked_by": "Checked by",
    "yield_mpa": "Yield strength",
    "tensile_mpa": "Tensile strength",
    "elongation_percent": "Elongation",
    "carbon_percent": "C",
    "carbon_equivalent_percent": "CE",
    "melted_in": "Melted in",
    "zinc_lot": "Zinc lot",
    "zinc_um": "Zinc",
    "decided_on": "Day",
    "quarantine_status": "Quarantine",
    "person": "By",
    "reason": "Reason",
    "run_no": "Run",
    "latest": "Last run",
    "traceability": "Traced by",
    "note": "Note",
    "age_days": "Age [days]",
}


def table(
    rows: pd.DataFrame,
    columns: tuple[str, ...],
    system: str,
    name: str,
    picked: Callable[[pd.DataFrame], None] | None = None,
) -> None:
    """``rows`` with their headings and units; ``picked`` is told the row that is ticked."""
    shown, formats = in_words(rows, columns, system)
    key = filters.key(f"steel_{name}_{hash(tuple(rows.index))}_{len(rows)}")
    choosing: Mapping[str, object] = {}
    if picked:
        choosing = {
            "on_select": lambda: _tell(key, rows, picked),
            "selection_mode": "single-row",
        }
    st.dataframe(
        shown,
        hide_index=True,
        height=min(MOST_HIGH, HEIGHT + ROW * len(shown)),
        key=key,
        column_config=formats,
        placeholder="",
        alt=name,
        **choosing,
    )


def _tell(key: str, rows: pd.DataFrame, picked: Callable[[pd.DataFrame], None]) -> None:
    places = st.session_state[key]["selection"]["rows"]
    picked(rows.iloc[[place for place in places if place < len(rows)]])


def choose_pile(rows: pd.DataFrame) -> None:
    """Choose the pile of the row ticked."""
    filters.choose(rows["pile_id"].dropna())


def seek(column: str) -> Callable[[pd.DataFrame], None]:
    """Seek what stands in ``column`` of the row ticked."""

    def sought(rows: pd.DataFrame) -> None:
        for text in rows[column].dropna():
            filters.seek(str(text))

    return sought


def balance(not_placed: int) -> str:
    """What is left, or how many are too many."""
    return f"{abs(not_placed):,} too many" if not_placed < 0 else f"{not_placed:,}"


def in_words(
    rows: pd.DataFrame, columns: tuple[str, ...], system: str
) -> tuple[pd.DataFrame, dict[str, object]]:
    """Columns for people, and how numbers are printed; a column without any value is left out."""
    shown, formats = {}, {}
    for column in columns:
        values, heading = rows[column], HEADINGS[column]
        unit = units.shown_unit(column, system)
        if values.isna().all():
            continue
        if column == "state":
            values = values.map(lambda word: f"{words.STATE[word].letter} · {word}", "ignore")
        elif column == "result":
            values = values.map(theme.RESULT_SIGNS) + " " + values
        elif column in TOLD:
            values = values.map(TOLD[column])
        elif column == "not_placed" and values.lt(0).any():
            values = values.map(balance, "ignore")
        elif column.endswith("_on"):
            values = values.dt.strftime("%Y-%m-%d")
        elif column in WIDE:
            formats[heading] = st.column_config.TextColumn(width=WIDE[column])
        elif unit:
            heading = f"{heading} [{unit.symbol}]"
            values = units.shown_values(values.astype(float), column, system)
            formats[heading] = st.column_config.NumberColumn(format=f"%.{unit.decimals}f")
        shown[heading] = values
    return pd.DataFrame(shown), formats
