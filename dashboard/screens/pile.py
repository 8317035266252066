"""Pile: everything about one pile; why it is in its state first, then section under section."""

from __future__ import annotations

from html import escape

import pandas as pd
import streamlit as st

from core import words
from core.words import CAUTIONS
from dashboard import data, filters
from dashboard.charts import torque
from dashboard.literal import literal, literals
from dashboard.screens import (
    frame,
    pile_events,
    pile_findings,
    pile_grout,
    pile_history,
    pile_numbers,
    pile_sign_off,
    pile_string,
    pile_survey,
    pile_worksheet,
)

WORKS = (("String", pile_string), ("Grout", pile_grout), ("Survey", pile_survey))


def main() -> None:
    """Draw the screen."""
    view = frame.open_view()
    system = frame.head(view)
    if frame.no_piles(view):
        return
    _chooser(view)
    subject = filters.now().pile
    if subject is None:
        st.markdown("**No pile chosen.** Choose one by its number, or on the Site plan.")
        _worst(view)
        return
    row = data.pile(view, subject)
    if row is None:
        st.warning(f"The project holds no pile {literal(subject)} at this entry.")
        return
    shown = [(word, part) for word, part in WORKS if part.has_any(view, subject)]
    left, right = st.container(key="beside").columns([1.25, 1], gap="large")
    with left:
        _state(view, row)
        _ways([*(word for word, _ in shown), *pile_worksheet.ways(row)])
        pile_findings.show(view, subject, system)
        pile_sign_off.show(view, row)
    with right:
        _profile(view, row, system)
        pile_events.show(view, subject, system)
    pile_numbers.show(view, row, system)
    for _, part in shown:
        part.show(view, row, system)
    pile_worksheet.show(view, row, system)
    pile_history.show(view, row, system)
    pile_findings.sources(view, subject)
    frame.cautions(CAUTIONS)


def _worst(view: data.View) -> None:
    """Ways to the piles that head the list of outstanding items."""
    piles = data.worst_piles(view)
    if not piles:
        return
    st.markdown("The worst and oldest first:")
    with st.container(horizontal=True):
        for pile in piles:
            st.button(literal(pile), key=f"worst_{pile}", on_click=filters.choose, args=([pile],))


def _chooser(view: data.View) -> None:
    numbers = data.subjects(view)
    pile = filters.now().pile
    place = numbers.index(pile) if pile in numbers else None
    with st.container(horizontal=True, vertical_alignment="bottom"):
        for word, step in (("Previous", -1), ("Next", 1)):
            other = filters.neighbour(numbers, place, step)
            st.button(
                literal(word),
                key=f"step_{word}",
                disabled=other is None,
                on_click=filters.choose,
                args=([other],),
            )
        with st.container(width=260):
            filters.pile_box(numbers)
        st.page_link("screens/site_plan.py", label="Show it on the plan")
        _compare(view, pile)
    if len(filters.now().piles) > 1:
        filters.chosen_switch()


def _compare(view: data.View, pile: str | None) -> None:
    row = data.pile(view, pile) if pile else None
    if row is None or row[["area", "pile_type"]].isna().any() or not row["runs"]:
        return
    if st.button("Compare with its area", key="compare"):
        filters.compare_with(row["area"], row["pile_type"])
        st.switch_page("screens/torque.py")


def _state(view: data.View, row: pd.Series) -> None:
    frame.pile_name(row["subject"])
    frame.state_of(row["state"])
    named = {"position_id": "Position", "area": "area", "pile_type": "type", "rig": ""}
    facts = [f"{word} {row[name]}".strip() for name, word in named.items() if pd.notna(row[name])]
    facts.append(row["stage"])
    if pd.notna(row["run_on"]):
        facts.append(f"last run {row['run_on']:%d %B %Y}".replace(" 0", " "))
    if pd.notna(row["replaces"]):
        facts.append(f"serves in place of {row['replaces']}")
    facts += [f"{other} serves in its place" for other in data.replacements(view, row["subject"])]
    if not row["counted"]:
        facts.append(f"{row['duty']}, left out of the counts")
    st.html(f"<div>{escape(' · '.join(str(fact) for fact in facts))}</div>")
    st.markdown(_sentence(view, row))


def _ways(sections: list[str]) -> None:
    """Links to the sections further down the page."""
    links = [
        f'<a href="#{word.lower().replace(" ", "-")}">{word}</a>'
        for word in ("Findings", "Sign-off", "Torque", "Events", "Numbers", *sections, "History")
    ]
    st.html(f'<nav class="pw-ways" aria-label="Sections">{" · ".join(links)}</nav>')


def _sentence(view: data.View, row: pd.Series) -> str:
    objections = data.reasons(view, row["subject"])
    meaning = literal(words.STATE[row["state"]].meaning)
    asks = objections["result"].map(words.RESULT_STATE).eq(row["state"])
    if not asks.any():
        return meaning
    sentence = f"{meaning} It rests on: **{_kinds(objections[asks])}**."
    if not asks.all():
        sentence += f" Besides: {_kinds(objections[~asks])}."
    return sentence


def _kinds(found: pd.DataFrame) -> str:
    return literals(found["kind"].drop_duplicates())


def _profile(view: data.View, row: pd.Series, system: str) -> None:
    st.subheader("Torque against depth", anchor="torque")
    subject = row["subject"]
    readings = data.readings(view, subject)
    if readings.empty:
        st.markdown("No torque readings are recorded.")
        return
    marks = torque.Marks(
        required_torque_nm=row["required_torque_nm"],
        required_by="" if pd.isna(row["required_by"]) else row["required_by"],
        rated_torque_nm=row["rated_torque_nm"],
        toe_mm=row["toe_mm"],
        window_mm=row["window_mm"],
        first_disc_depth_mm=row.get("first_disc_depth_mm", float("nan")),
    )
    figure = data.drawn(
        "torque profile",
        (view.key, subject, system),
        lambda: torque.torque_against_depth(readings, marks, system),
    )
    st.plotly_chart(
        figure,
        key="profile",
        config=frame.PLAIN,
        alt=f"Torque against depth of pile {subject}",
    )


main()
