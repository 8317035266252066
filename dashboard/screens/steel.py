"""Steel: look up a pile, stamp, lot, heat or certificate; what of the whole job is missing."""

from __future__ import annotations

from functools import partial

import pandas as pd
import streamlit as st

from core import units
from core.words import STEEL_CAUTIONS
from dashboard import page, state
from dashboard.data import steel, views
from dashboard.literal import literal
from dashboard.screens import steel_trace


def main() -> None:
    """Draw the screen."""
    view = page.open_view()
    system = page.head(view)
    if page.no_piles(view):
        return
    if steel.register(view).empty:
        _nothing()
        return
    _search()
    if query := state.current_filters().query:
        _answer(view, query, system)
    else:
        _whole_job(view, system)
    page.cautions(STEEL_CAUTIONS)


def _nothing() -> None:
    st.subheader("No steel is recorded yet")
    st.markdown(
        "Import the deliveries (components with their stamps, and the heats of their pieces), the "
        "mill certificates with the heats they list, and the string of each run. This page then "
        "traces every piece of steel from the pile to its certificate."
    )
    st.page_link("screens/import_files.py", label="Import files")
    page.cautions(STEEL_CAUTIONS)


def _search() -> None:
    chosen = state.current_filters()
    with st.container(horizontal=True, vertical_alignment="bottom"):
        with st.container(width=380):
            st.text_input(
                "Pile, stamp, lot, heat or certificate",
                placeholder="as written, then Enter",
                on_change=state.change,
                kwargs={"match": ""},
                **state.bound("query"),
            )
        if chosen.pile and chosen.pile != chosen.query:
            st.button(
                f"Steel of pile {literal(chosen.pile)}",
                key="search_pile",
                on_click=state.search,
                args=(chosen.pile, f"pile {chosen.pile}"),
            )
        if chosen.query:
            st.button("Whole job", key="search_none", on_click=state.search, args=("",))


def _answer(view: views.View, query: str, system: str) -> None:
    matches = steel.matches(view, query)
    if not matches:
        _unknown(view, query)
        return
    if len(matches) == 1:
        meaning = next(iter(matches.values()))
        if meaning.text != query:
            st.info(
                f"“{literal(query)}” is read as pile {literal(meaning.text)}: no other pile number "
                "matches when case and hyphens are ignored."
            )
        steel_trace.draw(view, meaning, system)
        return
    key, held = state.key("match"), state.current_filters().match
    st.session_state[key] = held if held in matches else None
    st.pills(
        f"“{literal(query)}” has several matches. Which one?",
        list(matches),
        format_func=literal,
        key=key,
        on_change=lambda: state.change(match=st.session_state[key] or ""),
    )
    if held in matches:
        steel_trace.draw(view, matches[held], system)


def _unknown(view: views.View, query: str) -> None:
    st.warning(
        f"No pile, stamp, lot, heat or certificate matches “{literal(query)}” at this entry."
    )
    near = steel.suggestions(view, query)
    if not near:
        st.markdown("Nothing recorded is similar.")
        return
    st.markdown("Similar, as a suggestion:")
    with st.container(horizontal=True):
        for text in near:
            st.button(
                literal(steel.suggestion_text(query, text)),
                key=f"near_{text}",
                on_click=state.search,
                args=(text,),
            )


OF_PIECE = ("pile_id", "area", "component", "stamp", "piece", "mill", "heat", "certificate",
            "certificate_type", "certificate_type_asked", "gap_text", "state", "stage", "lot",
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


def _whole_job(view: views.View, system: str) -> None:
    """Draw the figures and the lists."""
    _coverage(steel.coverage(view), system)
    with st.expander("By supplier"):
        _shares(steel.coverage(view, "supplier"), "supplier", system)
    items = steel.missing_by_responsible(view)
    st.subheader("Missing records by responsible party")
    if items.empty:
        st.markdown("**Nothing that is required is missing.**")
    else:
        named = {"question": "Missing", "rows": "Number", "piles": "Piles",
                 "responsible": "Responsible", "closed_by": "Closed by"}  # fmt: skip
        shown = items.assign(piles=items["piles"].astype(str).replace("0", "–"))
        page.table(shown.rename(columns=named), ("Number", "Piles"))
    _list(steel.missing(view), system)
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
        help="Pieces with everything that the contract requires for their kind.",
    )
    cells[2].metric(
        "Traced, by length",
        _share(everything["length_share"]),
        border=True,
        height="stretch",
        help="Length of components with every piece traced, as a share of the length placed.",
    )
    _shares(table, "area", system)


def _shares(table: pd.DataFrame, by: str, system: str) -> None:
    """One row per area or supplier: how much is in the ground and how much of it is traced."""
    unnamed = {"": f"all {by}s", "not known": "no area" if by == "area" else "not recorded"}
    rows = pd.DataFrame(
        {
            by.capitalize(): table[by].replace(unnamed),
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
    page.table(rows, tuple(rows.columns[1:]))


def _share(value: float) -> str:
    if pd.isna(value):
        return "–"
    return "over 99.9%" if 0.999 < value < 1 else f"{value:.1%}"


def _matrix(view: views.View) -> None:
    """The trace matrix as a file, made on demand."""
    st.subheader("Trace matrix")
    st.caption("One row per piece of steel placed, with all its links and the state of its pile.")
    with st.container(horizontal=True):
        for ending in (".xlsx", ".csv"):
            st.download_button(
                f"Trace matrix as {literal(ending[1:].upper())}",
                partial(steel.matrix_file, view, ending),
                file_name=f"trace_matrix{ending}",
                key=f"matrix{ending}",
                on_click="ignore",
            )


def _list(found: dict[str, pd.DataFrame], system: str) -> None:
    words = {
        name: f"{one.word} ({len(found[name]):,})"
        for name, one in steel.LISTS.items()
        if len(found[name])
    }
    if not words:
        return
    st.subheader("Lists")
    name = state.list_switch(words, "What is missing")
    listed, rows = steel.LISTS[name], found[name]
    of_pile = listed.about == "pile_id"
    st.caption(
        f"{literal(listed.meaning)} Tick a row to "
        + ("select its pile." if of_pile else f"look up its {literal(listed.about)}.")
    )
    ticked = steel_trace.choose_pile if of_pile else steel_trace.look_up(listed.about)
    columns = tuple(one for one in COLUMNS.get(name, OF_PIECE) if one in rows)
    steel_trace.table(rows, columns, system, listed.word, ticked)
    if pile := state.current_filters().pile:
        page.pile_links(pile)


main()
