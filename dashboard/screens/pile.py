"""Pile: why it is in its state, with the numbers, the profile, the source rows and the sign-off."""

from __future__ import annotations

from html import escape

import pandas as pd
import streamlit as st

from core import words
from core.words import CAUTIONS
from dashboard import acts, data, filters, theme
from dashboard.charts import torque
from dashboard.screens import frame, pile_numbers

FOLDED = ("met", "not required", "not yet due")


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
        return
    row = data.pile(view, subject)
    if row is None:
        st.warning(f"The project holds no pile {subject} at this entry.")
        return
    left, right = st.container(key="beside").columns([1.25, 1], gap="large")
    with left:
        _state(view, row)
        _findings(view, subject, system)
        _sign_off(view, row)
    with right:
        _profile(view, row, system)
        pile_numbers.show(view, row, system)
    _sources(view, subject)
    frame.cautions(CAUTIONS)


def _chooser(view: data.View) -> None:
    numbers = data.subjects(view)
    pile = filters.now().pile
    place = numbers.index(pile) if pile in numbers else None
    with st.container(horizontal=True, vertical_alignment="bottom"):
        for word, step in (("Previous", -1), ("Next", 1)):
            other = filters.neighbour(numbers, place, step)
            st.button(
                word,
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
    st.markdown(_sentence(view, row).replace("$", "\\$"))


def _sentence(view: data.View, row: pd.Series) -> str:
    objections = data.reasons(view, row["subject"])
    meaning = words.STATE[row["state"]].meaning
    asks = objections["result"].map(words.RESULT_STATE).eq(row["state"])
    if not asks.any():
        return meaning
    sentence = f"{meaning} It rests on: **{_kinds(objections[asks])}**."
    if not asks.all():
        sentence += f" Besides: {_kinds(objections[~asks])}."
    return sentence


def _kinds(found: pd.DataFrame) -> str:
    return ", ".join(found["kind"].drop_duplicates())


def _findings(view: data.View, subject: str, system: str) -> None:
    st.subheader("Findings")
    found = data.findings(view, subject)
    if found.empty:
        st.markdown("No rule applies yet: nothing is in the ground.")
        return
    rows = pd.DataFrame(
        {
            "Result": found["result"].map(theme.result_mark),
            "Finding": found["kind"].map(_with_meaning) + found["clause"].map(_small),
            "Measured": frame.quantities(found, "measured", system),
            "Limit": frame.quantities(found, "limit_value", system),
            "Margin": frame.quantities(found, "margin", system),
            "Note": found["note"],
        }
    )
    folded = found["result"].isin(FOLDED)
    numbers, marked = ("Measured", "Limit", "Margin"), ("Result", "Finding")
    if folded.all():
        st.markdown("Nothing objects.")
    else:
        frame.table(rows[~folded], numbers, marked)
    if folded.any():
        tally = found.loc[folded, "result"].value_counts()
        title = ", ".join(f"{number} {word}" for word, number in tally.items())
        with st.expander(title):
            frame.table(rows[folded], numbers, marked)


def _with_meaning(kind: str) -> str:
    tip = escape(words.FINDING_KIND[kind].meaning, quote=True)
    return f'<span title="{tip}">{escape(kind)}</span>'


def _small(text: str) -> str:
    return f"<small>{escape(text)}</small>" if text else ""


def _profile(view: data.View, row: pd.Series, system: str) -> None:
    st.subheader("Torque against depth")
    subject = row["subject"]
    readings = data.readings(view, subject)
    if readings.empty:
        st.markdown("No torque readings are recorded.")
        return
    marks = torque.Marks(
        required_torque_nm=row["required_torque_nm"],
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
        config={"displaylogo": False, "displayModeBar": False},
        alt=f"Torque against depth of pile {subject}",
    )


def _sources(view: data.View, subject: str) -> None:
    with st.expander("Source rows of each finding", expanded=False):
        rows = data.evidence(view, subject)
        if rows.empty:
            st.markdown("No row of a file stands behind a finding of this pile.")
            return
        names = {"kind": "Finding", "record": "Record", "file": "File", "sheet": "Sheet"}
        frame.table(rows.rename(columns=names | {"rows": "Rows"}))


def _sign_off(view: data.View, row: pd.Series) -> None:
    st.subheader("Sign-off")
    if pd.notna(row["signed_by"]):
        day = f"{row['signed_on']:%d %B %Y}".lstrip("0")
        note = row["sign_off_note"] if pd.notna(row["sign_off_note"]) else ""
        st.markdown(f"Signed by **{row['signed_by']}** on {day}. {note}")
    if said := st.session_state.pop("said", None):
        st.success(said)
    if row["state"] != "criteria met":
        if row["state"] not in words.SATISFIED:
            st.markdown(f"Not open: the pile is *{row['state']}*, not *criteria met*.")
        return
    if filters.now().as_of:
        st.markdown("Sign-offs are given on the project as it is now. Clear *As of* first.")
        return
    _form(view, row["subject"])


def _form(view: data.View, subject: str) -> None:
    names = acts.signers(view.assessment.project)
    if not names:
        st.markdown("Nobody may accept yet: give a role the right in project.toml.")
        return
    with st.form(f"sign_off_{subject}"):
        by = st.selectbox("Accepted by", names, index=None, placeholder="choose your name")
        note = st.text_area("Note: what the acceptance rests on", height=90)
        sent = st.form_submit_button(f"Accept pile {subject}")
    st.caption("The name is taken on trust; this page does not check who you are.")
    if not sent:
        return
    if by is None:
        st.error("Choose who accepts. Nothing was written.")
        return
    refused = acts.accept_pile(data.folder(), subject, by, note)
    if refused:
        st.error(refused.replace("$", "\\$"))
        return
    st.session_state["said"] = f"Pile {subject} is accepted by {by}."
    st.rerun()


main()
