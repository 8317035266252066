"""Steel: from any pile, stamp, lot, heat or certificate to all that hangs on it."""

from __future__ import annotations

import streamlit as st

from core.words import STEEL_CAUTIONS
from dashboard import data, filters
from dashboard.literal import literal
from dashboard.screens import frame, steel_found, steel_missing


def main() -> None:
    """Draw the screen."""
    view = frame.open_view()
    system = frame.head(view)
    if frame.no_piles(view):
        return
    if data.steel(view).empty:
        _nothing()
        return
    _search()
    if sought := filters.now().sought:
        _answer(view, sought, system)
    else:
        steel_missing.draw(view, system)
    frame.cautions(STEEL_CAUTIONS)


def _nothing() -> None:
    st.subheader("No steel is recorded yet")
    st.markdown(
        "Take in what was delivered (components with their stamps, and the heats of their pieces), "
        "the mill certificates with the heats they list, and the string of each run. This page "
        "then follows every piece of steel from the pile to its certificate."
    )
    st.page_link("screens/intake.py", label="Take files in")
    frame.cautions(STEEL_CAUTIONS)


def _search() -> None:
    chosen = filters.now()
    with st.container(horizontal=True, vertical_alignment="bottom"):
        with st.container(width=380):
            filters.search_box(
                "Pile, stamp, lot, heat or certificate", "type it as it is written, then Enter"
            )
        if chosen.pile and chosen.pile != chosen.sought:
            st.button(
                f"Steel of pile {literal(chosen.pile)}",
                key="seek_pile",
                on_click=filters.seek,
                args=(chosen.pile, f"pile {chosen.pile}"),
            )
        if chosen.sought:
            st.button("The whole job", key="seek_none", on_click=filters.seek, args=("",))


def _answer(view: data.View, sought: str, system: str) -> None:
    meanings = data.steel_meanings(view, sought)
    if not meanings:
        _unknown(view, sought)
        return
    if len(meanings) == 1:
        meaning = next(iter(meanings.values()))
        if meaning.text != sought:
            st.info(
                f"“{literal(sought)}” is taken as pile {literal(meaning.text)}: no other pile's "
                "number reads so without regard to case and hyphens."
            )
        steel_found.draw(view, meaning, system)
        return
    filters.meaning_switch(list(meanings), f"“{sought}” is written on several things. Which one?")
    if meant := meanings.get(filters.now().meant):
        steel_found.draw(view, meant, system)


def _unknown(view: data.View, sought: str) -> None:
    st.warning(
        f"No pile, stamp, lot, heat or certificate is written “{literal(sought)}” at this entry. "
        "Nothing is guessed."
    )
    near = data.steel_near(view, sought)
    if not near:
        st.markdown("Nothing recorded comes near it.")
        return
    st.markdown("What comes near it, as a suggestion:")
    with st.container(horizontal=True):
        for text in near:
            st.button(
                literal(data.near_words(sought, text)),
                key=f"near_{text}",
                on_click=filters.seek,
                args=(text,),
            )


main()
