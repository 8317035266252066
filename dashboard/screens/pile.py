"""Pile: everything about one pile; why it is in its state first, then section under section."""

from __future__ import annotations

from html import escape

import pandas as pd
import streamlit as st

from core import words
from core.words import CAUTIONS
from dashboard import commands, page, state, theme
from dashboard.charts import torque as charts
from dashboard.data import outstanding, pile, views
from dashboard.literal import literal, literals
from dashboard.screens import pile_sections

FOLDED = ("met", "not required", "not yet due")
# Sections that a pile has once something is recorded: heading, whether, and how it is drawn.
WORKS = (
    ("String", pile_sections.has_string, pile_sections.string),
    ("Grout", pile_sections.has_grout, pile_sections.grout),
    ("Survey", pile_sections.has_survey, pile_sections.survey),
)


def main() -> None:
    """Draw the screen."""
    view = page.open_view()
    system = page.head(view)
    if page.no_piles(view):
        return
    _controls(view)
    subject = state.current_filters().pile
    if subject is None:
        st.markdown("**No pile selected.** Select one by its number, or on the Site plan.")
        _worst(view)
        return
    row = pile.row(view, subject)
    if row is None:
        st.warning(f"There is no pile {literal(subject)} at this entry.")
        return
    shown = [(word, draw) for word, recorded, draw in WORKS if recorded(view, subject)]
    left, right = st.container(key="beside").columns([1.25, 1], gap="large")
    with left:
        _state(view, row)
        _ways([*(word for word, _ in shown), *pile_sections.worksheet_ways(row)])
        _findings(view, subject, system)
        _sign_off(view, row)
    with right:
        _profile(view, row, system)
        pile_sections.events(view, subject, system)
    pile_sections.numbers(view, row, system)
    for _, draw in shown:
        draw(view, row, system)
    pile_sections.worksheet(view, row, system)
    pile_sections.history(view, row, system)
    _sources(view, subject)
    page.cautions(CAUTIONS)


def _worst(view: views.View) -> None:
    """Ways to the piles that head the list of outstanding items."""
    piles = outstanding.worst_piles(view)
    if not piles:
        return
    st.markdown("Most urgent:")
    with st.container(horizontal=True):
        for one in piles:
            st.button(literal(one), key=f"worst_{one}", on_click=state.select, args=([one],))


def _controls(view: views.View) -> None:
    numbers = views.subjects(view)
    chosen = state.current_filters().pile
    place = numbers.index(chosen) if chosen in numbers else None
    with st.container(horizontal=True, vertical_alignment="bottom"):
        for word, step in (("Previous", -1), ("Next", 1)):
            other = _neighbour(numbers, place, step)
            st.button(
                literal(word),
                key=f"step_{word}",
                disabled=other is None,
                on_click=state.select,
                args=([other],),
            )
        with st.container(width=260):
            state.pile_box(numbers)
        st.page_link("screens/site_plan.py", label="Show on the plan")
        _compare(view, chosen)
    if len(state.current_filters().piles) > 1:
        _which()


def _which() -> None:
    """Which of several piles selected is *the pile*."""
    key = state.key("which")
    st.session_state[key] = state.current_filters().pile
    st.pills(
        "Selected piles",
        sorted(state.current_filters().piles, key=state.natural),
        format_func=literal,
        key=key,
        on_change=lambda: state.select([st.session_state[key]], add=True),
        required=True,
    )


def _neighbour(numbers: list[str], place: int | None, step: int) -> str | None:
    """The pile number ``step`` places on; the first when none is chosen; None past the end."""
    if place is None:
        return numbers[0] if step > 0 else None
    return numbers[place + step] if 0 <= place + step < len(numbers) else None


def _compare(view: views.View, chosen: str | None) -> None:
    row = pile.row(view, chosen) if chosen else None
    if row is None or row[["area", "pile_type"]].isna().any() or not row["runs"]:
        return
    if st.button("Compare with its area", key="compare"):
        state.compare_with(row["area"], row["pile_type"])
        st.switch_page("screens/torque.py")


def _state(view: views.View, row: pd.Series) -> None:
    page.pile_name(row["subject"])
    page.state_of(row["state"])
    named = {"position_id": "Position", "area": "area", "pile_type": "type", "rig": ""}
    facts = [f"{word} {row[name]}".strip() for name, word in named.items() if pd.notna(row[name])]
    facts.append(row["stage"])
    if pd.notna(row["run_on"]):
        facts.append(f"last run {theme.day(row['run_on'])}")
    if pd.notna(row["replaces"]):
        facts.append(f"replaces {row['replaces']}")
    facts += [f"replaced by {other}" for other in pile.replacements(view, row["subject"])]
    if not row["counted"]:
        facts.append(f"{row['duty']}, not counted")
    st.html(f"<div>{escape(' · '.join(str(fact) for fact in facts))}</div>")
    st.markdown(_sentence(view, row))


def _ways(sections: list[str]) -> None:
    """Links to the sections further down the page."""
    links = [
        f'<a href="#{word.lower().replace(" ", "-")}">{word}</a>'
        for word in ("Findings", "Sign-off", "Torque", "Events", "Numbers", *sections, "History")
    ]
    st.html(f'<nav class="pw-ways" aria-label="Sections">{" · ".join(links)}</nav>')


def _sentence(view: views.View, row: pd.Series) -> str:
    objections = pile.reasons(view, row["subject"])
    meaning = literal(words.STATE[row["state"]].meaning)
    decisive = objections["result"].map(words.RESULT_STATE).eq(row["state"])
    if not decisive.any():
        return meaning
    sentence = f"{meaning} Reasons: **{_kinds(objections[decisive])}**."
    if not decisive.all():
        sentence += f" Also open: {_kinds(objections[~decisive])}."
    return sentence


def _kinds(found: pd.DataFrame) -> str:
    return literals(found["kind"].drop_duplicates())


def _profile(view: views.View, row: pd.Series, system: str) -> None:
    st.subheader("Torque against depth", anchor="torque")
    subject = row["subject"]
    readings = pile.readings(view, subject)
    if readings.empty:
        st.markdown("No torque readings are recorded.")
        return
    marks = charts.Marks(
        required_torque_nm=row["required_torque_nm"],
        required_by="" if pd.isna(row["required_by"]) else row["required_by"],
        rated_torque_nm=row["rated_torque_nm"],
        toe_mm=row["toe_mm"],
        window_mm=row["window_mm"],
        first_disc_depth_mm=row.get("first_disc_depth_mm", float("nan")),
    )
    figure = views.cached_figure(
        "torque profile",
        (view.key, subject, system),
        lambda: charts.torque_against_depth(readings, marks, system),
    )
    st.plotly_chart(
        figure,
        key="profile",
        config=page.PLAIN,
        alt=f"Torque against depth of pile {subject}",
    )


def _findings(view: views.View, subject: str, system: str) -> None:
    """Draw the findings of one pile, worst first; what is met is folded."""
    st.subheader("Findings", anchor="findings")
    found = pile.findings(view, subject)
    if found.empty:
        st.markdown("No rule applies yet: nothing is in the ground.")
        return
    texts = page.measured_texts(found, system)
    rows = pd.DataFrame(
        {
            "Result": found["result"].map(theme.result_mark),
            "Finding": found["kind"].map(_with_meaning) + found["clause"].map(_small),
            "Measured": texts["Measured"],
            "Limit": texts["Limit"],
            "Margin": _margins(found, system),
            "Note": found["note"],
        }
    )
    folded = found["result"].isin(FOLDED)
    numbers, marked = ("Measured", "Limit", "Margin"), ("Result", "Finding")
    if folded.all():
        st.markdown("No open findings.")
    else:
        page.table(rows[~folded], numbers, marked)
    if folded.any():
        tally = found.loc[folded, "result"].value_counts()
        title = ", ".join(f"{number} {word}" for word, number in tally.items())
        with st.expander(literal(title)):
            page.table(rows[folded], numbers, marked)


def _margins(found: pd.DataFrame, system: str) -> pd.Series:
    """Margins, each with the expanded uncertainty of what is measured where it is known."""
    margin = views.margin_texts(found, system).replace("", "–")
    expanded = page.quantities(found, "uncertainty", system)
    return margin.where(margin.eq("–") | expanded.eq("–"), margin + " (± " + expanded + ")")


def _with_meaning(kind: str) -> str:
    tip = escape(views.FINDING_MEANING[kind], quote=True)
    return f'<span title="{tip}">{escape(kind)}</span>'


def _small(text: str) -> str:
    return f"<small>{escape(text)}</small>" if text else ""


def _sources(view: views.View, subject: str) -> None:
    """Draw, folded, the rows of files behind each finding."""
    with st.expander("Source rows of each finding", expanded=False):
        rows = pile.evidence(view, subject)
        if rows.empty:
            st.markdown("No finding of this pile comes from a row of a file.")
            return
        names = {"kind": "Finding", "record": "Record", "file": "File", "sheet": "Sheet"}
        page.table(rows.rename(columns=names | {"rows": "Rows"}))


def _sign_off(view: views.View, row: pd.Series) -> None:
    """Draw who signed, or why sign-off is not available, or the form."""
    st.subheader("Sign-off", anchor="sign-off")
    if pd.notna(row["signed_by"]):
        day = theme.day(row["signed_on"])
        note = row["sign_off_note"] if pd.notna(row["sign_off_note"]) else ""
        st.markdown(f"Signed by **{literal(row['signed_by'])}** on {literal(day)}. {literal(note)}")
    if done := st.session_state.pop("signed_off", None):
        st.success(literal(done))
    if row["state"] != "criteria met":
        if row["state"] not in words.ACCEPTED_STATES:
            st.markdown(f"Sign-off not available: status is *{literal(row['state'])}*.")
        return
    if state.current_filters().as_of:
        st.markdown("Sign-off is given on the project as it is now. Clear *As of* first.")
        return
    _form(view, row["subject"])


def _form(view: views.View, subject: str) -> None:
    names = commands.signers(view.assessment.project)
    if not names:
        st.markdown("No role has the right to accept; add it in project.toml.")
        return
    with st.form(f"sign_off_{subject}"):
        by = st.selectbox("Accepted by", names, index=None, placeholder="select your name")
        note = st.text_area("Note: basis of the acceptance", height=90)
        sent = st.form_submit_button(f"Accept pile {literal(subject)}")
    st.caption("Names are not verified.")
    if not sent:
        return
    if by is None:
        st.error("Select who accepts. Nothing was written.")
        return
    refused = commands.accept_pile(views.folder(), subject, by, note)
    if refused:
        st.error(literal(refused))
        return
    st.session_state["signed_off"] = f"Pile {subject} is accepted by {by}."
    st.rerun()


main()
