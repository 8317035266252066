"""A heat called back: what was said of it, which piles it holds down, and the forms that decide."""

from __future__ import annotations

import streamlit as st

from dashboard import commands, data, filters
from dashboard.literal import literal
from dashboard.screens import steel_tables

TOLD = ("decided_on", "quarantine_status", "mill", "person", "reason")
PILES = ("pile_id", "area", "state", "stage")


def show(view: data.View, meaning, system: str) -> None:
    """Draw the quarantine of one heat."""
    recall = data.steel_recall(view, meaning)
    story = data.steel_story(view, meaning)
    inside = data.in_quarantine(view, meaning)
    if said := st.session_state.pop("quarantine_said", None):
        st.success(literal(said))
    if inside:
        last = story.iloc[0]
        st.error(
            f"In quarantine since {last['decided_on']:%Y-%m-%d}, {literal(last['person'])}: "
            f"{literal(last['reason'])}",
            icon=":material/front_hand:",
        )
    st.subheader("Quarantine", anchor="quarantine")
    if not inside:
        _falling(recall, system)
    if filters.now().as_of:
        st.markdown("Heats are called back in the project as it is now. Clear *As of* first.")
    elif inside:
        with st.expander("Let this heat go"):
            lift = commands.lift_quarantine
            _form(view, meaning, "Lift the quarantine", lift, data.releasers(view))
    else:
        with st.expander("Call this heat back"):
            _form(view, meaning, "Put in quarantine", commands.put_in_quarantine, data.names(view))
    if len(story):
        steel_tables.table(story, TOLD, system, "What was said of its quarantine")


def _falling(recall, system: str) -> None:
    """Piles that would no longer be *criteria met* or accepted."""
    falling = recall.piles[recall.piles["stands"]]
    st.markdown(
        f"Not in quarantine. Piles that hold this heat: {len(recall.piles):,}; of these *criteria "
        f"met* or accepted, and going to *engineer review*: **{len(falling):,}**."
    )
    if len(falling):
        with st.expander(f"The {len(falling):,} by name"):
            steel_tables.table(falling, PILES, system, "Piles that would fall out")


def _form(view: data.View, meaning, label: str, act, names: list[str]) -> None:
    if not names:
        st.markdown("Nobody may do this yet: give a role the right in project.toml.")
        return
    with st.form(f"quarantine_{meaning.text}_{meaning.mill}"):
        by = st.selectbox("Who decides", names, index=None, placeholder="choose your name")
        reason = st.text_area("Reason, with the letter or report", height=80)
        sent = st.form_submit_button(literal(label))
    st.caption("The name is taken on trust; this page does not check who you are.")
    if not sent:
        return
    if by is None:
        st.error("Choose who decides. Nothing was written.")
        return
    refused = act(data.folder(), meaning.text, meaning.mill, by, reason)
    if refused:
        st.error(literal(refused))
        return
    st.session_state["quarantine_said"] = f"Written: heat {meaning.text}, {label.lower()}, by {by}."
    st.rerun()


def show_alike(view: data.View, meaning) -> None:
    """Heats that the one sought may be misread for, and the form of a stamp read again."""
    heats = data.steel_alike(view, meaning)
    if heats.empty:
        return
    told = ", ".join(
        f"{row.heat} of {row.mill or 'a mill not known'}, "
        f"{data.near_words(meaning.text, row.heat).partition(', ')[2]} ({row.pieces:,} "
        f"{'piece' if row.pieces == 1 else 'pieces'}, "
        f"{'on a certificate' if row.listed else 'on no certificate'})"
        for row in heats.itertuples()
    )
    st.warning(
        f"Heat {literal(meaning.text)} looks like {literal(told)}. Signs such as O and 0, I, l and "
        "1, S and 5, B and 8, Z and 2 are taken for one another: seek both, and read the stamps "
        "again."
    )
    if filters.now().as_of:
        return
    with st.expander("The stamps were read again"):
        _reading(view, meaning, list(heats["heat"]))


def _reading(view: data.View, meaning, heats: list[str]) -> None:
    with st.form(f"read_again_{meaning.text}"):
        becomes = st.selectbox("They say", heats, index=None, placeholder="choose the heat")
        by = st.selectbox("Who says so", data.names(view), index=None, placeholder="your name")
        reason = st.text_area("How: who looked, at which stamps or photographs", height=80)
        sent = st.form_submit_button("Correct the pieces")
    st.caption(f"Every piece recorded as {literal(meaning.text)} is corrected by an entry of its "
               "own; what was written before stays in the history.")  # fmt: skip
    if not sent:
        return
    if by is None or becomes is None:
        st.error("Choose the heat and who says so. Nothing was written.")
        return
    args = (meaning.text, meaning.mill, becomes, by, reason)
    if refused := commands.read_again(data.folder(), *args):
        st.error(literal(refused))
        return
    st.session_state["quarantine_said"] = f"Corrected: {meaning.text} is read as {becomes}."
    filters.seek(becomes)
    st.rerun()


__all__ = ["show", "show_alike"]
