"""The steel of the whole job: how much is traced, and what is missing by who owes it."""

from __future__ import annotations

from functools import partial

import pandas as pd
import streamlit as st

from core import units
from dashboard import data, filters
from dashboard.literal import literal
from dashboard.screens import frame, steel_tables

OF_PIECE = ("pile_id", "area", "component", "stamp", "piece", "mill", "heat", "certificate",
            "certificate_type", "certificate_type_asked", "break", "state", "stage", "lot",
            "traceability", "delivery_id", "place", "length_mm")  # fmt: skip
OF_ITEM = ("pile_id", "area", "result", "note", "age_days")
COLUMNS = {
    "twice": ("stamp", "pile_id", "area", "state", "stage", "place", "component", "run_no",
              "delivery_id"),
    "lots": ("stamp", "too_many", "quantity", "placed", "left_over", "scrapped"),
    "string": OF_ITEM,
    "length": OF_ITEM,
    **dict.fromkeys(("quarantine", "grade", "chemistry", "early", "zinc", "thin", "origin"),
                    OF_ITEM),
    "uncertified": ("mill", "heat", "pieces"),
    "unreceived": ("certificate", "mill", "heat", "page"),
    "doubtful": ("heat", "looks_like", "mill", "listed", "other_listed", "pieces", "other_pieces"),
    "remnants": ("stamp", "cut_from", "component", "length_mm", "pile_id", "not_placed"),
}  # fmt: skip


def draw(view: data.View, system: str) -> None:
    """Draw the figures and the lists."""
    _coverage(data.steel_coverage(view), system)
    with st.expander("By supplier"):
        _shares(data.steel_coverage(view, "supplier"), "supplier", system)
    owed = data.steel_owed(view)
    st.subheader("What is missing, and who owes it")
    if owed.empty:
        st.markdown("**Nothing that is asked is missing.**")
    else:
        named = {"question": "Missing", "rows": "Number", "piles": "Piles",
                 "owner": "Who clears it", "clears": "Cleared by"}  # fmt: skip
        shown = owed.assign(piles=owed["piles"].astype(str).replace("0", ""))
        frame.table(shown.rename(columns=named), ("Number", "Piles"))
    _list(data.steel_missing(view), system)
    _matrix(view)


def _coverage(table: pd.DataFrame, system: str) -> None:
    everything = table.iloc[-1]
    cells = st.columns(3)
    cells[0].metric("Pieces placed", f"{everything['pieces']:,}", border=True, height="stretch")
    cells[1].metric(
        "Traced, by piece",
        _share(everything["pieces_share"]),
        border=True,
        height="stretch",
        help="Pieces that lack nothing of what the contract asks for their kind.",
    )
    cells[2].metric(
        "Traced, by length",
        _share(everything["length_share"]),
        border=True,
        height="stretch",
        help="Length of the components of which every piece is traced, of the length placed.",
    )
    _shares(table, "area", system)


def _shares(table: pd.DataFrame, by: str, system: str) -> None:
    """One row per area or supplier: how much is in the ground and how much of it is traced."""
    rows = pd.DataFrame(
        {
            by.capitalize(): table[by].replace("", f"all {by}s"),
            "Piles": table["piles"].map("{:,}".format),
            "Components": table["components"].map("{:,}".format),
            "Pieces": table["pieces"].map("{:,}".format),
            "Pieces traced": table["pieces_traced"].map("{:,}".format),
            "Share of pieces": table["pieces_share"].map(_share),
            "Length": [units.text(value, "length_mm", system) for value in table["length_mm"]],
            "Length traced": [units.text(v, "length_mm", system) for v in table["traced_mm"]],
            "Share of length": table["length_share"].map(_share),
        }
    )
    frame.table(rows, tuple(rows.columns[1:]))


def _share(value: float) -> str:
    if pd.isna(value):
        return "none"
    return "over 99.9%" if 0.999 < value < 1 else f"{value:.1%}"


def _matrix(view: data.View) -> None:
    """The trace matrix to take away, made when it is asked for."""
    st.subheader("Trace matrix")
    st.caption("Every piece of steel placed, a line each, with all its links and its pile's state.")
    with st.container(horizontal=True):
        for ending in (".xlsx", ".csv"):
            st.download_button(
                f"Trace matrix as {literal(ending[1:].upper())}",
                partial(data.matrix_file, view, ending),
                file_name=f"trace_matrix{ending}",
                key=f"matrix{ending}",
                on_click="ignore",
            )


def _list(found: dict[str, pd.DataFrame], system: str) -> None:
    words = {
        name: f"{question.word} ({len(found[name]):,})"
        for name, question in data.QUESTIONS.items()
        if len(found[name])
    }
    if not words:
        return
    st.subheader("One by one")
    ask = filters.switch("ask", words, "What is missing")
    question, rows = data.QUESTIONS[ask], found[ask]
    of_pile = question.about == "pile_id"
    st.caption(
        f"{literal(question.asked)} Tick a row to "
        + ("choose its pile." if of_pile else f"seek its {literal(question.about)}.")
    )
    told = steel_tables.choose_pile if of_pile else steel_tables.seek(question.about)
    columns = tuple(name for name in COLUMNS.get(ask, OF_PIECE) if name in rows)
    steel_tables.table(rows, columns, system, question.word, told)
    if pile := filters.now().pile:
        frame.pile_links(pile)
