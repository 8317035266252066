"""What if: the job judged again on one supposition, and the piles whose state would change."""

from __future__ import annotations

from html import escape

import pandas as pd
import streamlit as st

from core.errors import PilewrightError
from dashboard import data, filters, theme
from dashboard.literal import literal, literals
from dashboard.screens import frame


def show(view: data.View, system: str) -> None:
    """Draw the boxes, and the answer once something is supposed."""
    st.subheader("What if", anchor="what-if")
    offered = data.offered(view)
    filters.suppose_box(
        list(offered.gauges.itertuples()),
        list(offered.factors.itertuples()),
        offered.revisions,
        system,
    )
    sentence = filters.now().suppose
    if not sentence:
        st.caption("Judges every pile again on another fact. Nothing is stored.")
        return
    try:
        answer = data.what_if(view, sentence, system)
    except PilewrightError as error:
        st.warning(literal(error))
        return
    _answer(sentence, answer)


def _answer(sentence: str, answer) -> None:
    moved = answer.moved
    number = "1 pile changes its" if len(moved) == 1 else f"{len(moved)} piles change their"
    st.markdown(f"Supposed: **{literal(sentence)}**. **{number} state.**")
    st.caption(
        literals(answer.notes, " ") + " Sign-offs are left out of the comparison. Not stored."
    )
    if moved.empty:
        return
    rows = pd.DataFrame(
        {
            "Pile": [f'<span class="pw-result">{escape(pile)}</span>' for pile in moved["pile_id"]],
            "Area": moved["area"].fillna("").map(escape),
            "As things stand": moved["state"].map(_state),
            "Then": moved["state_then"].map(_state),
            "Why": moved["why"].map(escape),
        }
    )
    frame.table(rows, marked=tuple(rows.columns))
    st.button(
        "Choose these piles",
        key="suppose_choose",
        on_click=filters.choose,
        args=(moved["pile_id"].tolist(),),
        help="They are bold on the Site plan and on Torque.",
    )


def _state(word: str) -> str:
    return escape(word) if word == "not there" else theme.state_badge(word)
