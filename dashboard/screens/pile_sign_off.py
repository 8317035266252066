"""The sign-off of one pile: who gave it, why it is not open, and the form that gives it."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from core import words
from dashboard import commands, data, filters
from dashboard.literal import literal


def show(view: data.View, row: pd.Series) -> None:
    """Draw who signed, or why nobody may yet, or the form."""
    st.subheader("Sign-off", anchor="sign-off")
    if pd.notna(row["signed_by"]):
        day = f"{row['signed_on']:%d %B %Y}".lstrip("0")
        note = row["sign_off_note"] if pd.notna(row["sign_off_note"]) else ""
        st.markdown(f"Signed by **{literal(row['signed_by'])}** on {literal(day)}. {literal(note)}")
    if said := st.session_state.pop("said", None):
        st.success(literal(said))
    if row["state"] != "criteria met":
        if row["state"] not in words.SATISFIED:
            st.markdown(f"Not open: the pile is *{literal(row['state'])}*, not *criteria met*.")
        return
    if filters.now().as_of:
        st.markdown("Sign-offs are given on the project as it is now. Clear *As of* first.")
        return
    _form(view, row["subject"])


def _form(view: data.View, subject: str) -> None:
    names = commands.signers(view.assessment.project)
    if not names:
        st.markdown("Nobody may accept yet: give a role the right in project.toml.")
        return
    with st.form(f"sign_off_{subject}"):
        by = st.selectbox("Accepted by", names, index=None, placeholder="choose your name")
        note = st.text_area("Note: what the acceptance rests on", height=90)
        sent = st.form_submit_button(f"Accept pile {literal(subject)}")
    st.caption("The name is taken on trust; this page does not check who you are.")
    if not sent:
        return
    if by is None:
        st.error("Choose who accepts. Nothing was written.")
        return
    refused = commands.accept_pile(data.folder(), subject, by, note)
    if refused:
        st.error(literal(refused))
        return
    st.session_state["said"] = f"Pile {subject} is accepted by {by}."
    st.rerun()
