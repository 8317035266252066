"""Parts that every screen has: the head with the data's date, tables, cautions."""

from __future__ import annotations

from html import escape

import pandas as pd
import streamlit as st

from core import units
from core.words import CAUTIONS
from dashboard import data, filters, theme
from dashboard.literal import literal

PLAIN = {"displaylogo": False, "displayModeBar": False}


def open_view() -> data.View:
    """The view of the project that the address asks for. Raises PilewrightError."""
    where = data.folder()
    try:
        as_of = filters.as_of()
    except ValueError:
        st.warning(
            f"“{literal(filters.now().as_of)}” is neither an entry number nor a day such as "
            "2026-05-31; the project is shown as it is now."
        )
        as_of = None
    return data.opened(where, as_of)


def head(view: data.View) -> str:
    """Project, date of the data, units and as-of; returns the unit system shown."""
    assessment = view.assessment
    job = assessment.project.tables.project
    with st.container(horizontal=True, vertical_alignment="center", key="head"):
        title(job.name, _stamp(assessment))
        system = filters.units_switch(job.system)
        with st.popover("As of"):
            filters.as_of_box()
    if assessment.entry and not assessment.settings_recorded:
        st.info(
            "project.toml differs from the settings last recorded in the ledger. This page judges "
            "by the file; the next write records it."
        )
    _watch(view)
    return system


def title(name: str, stamp: str) -> None:
    """The project's name and what its data stand at."""
    st.html(
        f'<div class="pw-title">{escape(name)}</div><div class="pw-stamp">{escape(stamp)}</div>'
    )


def _stamp(assessment) -> str:
    day = f"{assessment.on:%d %B %Y}".lstrip("0")
    if not assessment.entry:
        return f"No entry in the ledger yet. Judged on {day}."
    asked = filters.now().as_of
    looking_back = f" (as of {asked}, not now)" if asked else ""
    return f"Data as of entry {assessment.entry}{looking_back}. Judged on {day}."


@st.fragment(run_every="5s")
def _watch(view: data.View) -> None:
    """Offer a redraw when the ledger or project.toml has moved since this page was drawn."""
    if data.has_moved(view):
        with st.container(horizontal=True, vertical_alignment="center"):
            st.markdown("**There is newer data than this page shows.**")
            if st.button("Show the newer data", key="show_newer"):
                st.rerun(scope="app")


def cautions(lines: tuple[str, ...] = CAUTIONS[:1]) -> None:
    """Sentences that must stand beside the numbers."""
    text = "".join(f"<p>{escape(line)}</p>" for line in lines)
    st.html(f'<div class="pw-caution" role="note">{text}</div>')


def table(frame: pd.DataFrame, numbers: tuple[str, ...] = (), marked: tuple[str, ...] = ()) -> None:
    """A small table whose long words wrap. Columns in ``marked`` already hold safe HTML."""
    safe = frame.copy()
    for name in frame.columns:
        text = frame[name].astype(object).where(frame[name].notna(), "").astype(str)
        safe[name] = text if name in marked else text.map(escape)
    page = safe.to_html(index=False, escape=False, border=0, classes="pw")
    if numbers:
        page = _align(page, [frame.columns.get_loc(name) + 1 for name in numbers])
    name = escape(f"Table of {', '.join(map(str, frame.columns))}", quote=True)
    # Within reach of the keyboard, for a narrow screen lets it scroll sideways.
    st.html(f'<div class="pw-table" tabindex="0" role="group" aria-label="{name}">{page}</div>')


def _align(page: str, places: list[int]) -> str:
    name = "n" + "-".join(map(str, places))
    cells = ", ".join(f".pw-table .{name} :is(td,th):nth-child({place})" for place in places)
    numbers = ", ".join(f".pw-table .{name} td:nth-child({place})" for place in places)
    rule = f"{cells} {{ text-align: right; font-variant-numeric: tabular-nums; }}"
    rule += f" {numbers} {{ white-space: nowrap; }}"
    return f"<style>{rule}</style>" + page.replace('class="dataframe pw"', f'class="{name}"')


def no_piles(view: data.View) -> bool:
    """Say what to do when the project holds no pile; True when that is so."""
    if data.subjects(view):
        return False
    if asked := filters.now().as_of:
        st.subheader(f"The project held no piles as of {literal(asked)}")
        back_to_now()
        return True
    st.subheader("This project has no piles yet")
    folder = literal(data.folder().name)
    st.markdown(
        "Bring in the schedule first: every position of its latest revision then stands here as "
        "*not started*. Then the crew's files. Drop them on the Intake page, or use the command "
        f'line:\n\npilewright import {folder} schedule.csv --by "Your Name"\n\n'
        "Nothing is stored before every row is understood."
    )
    st.page_link("screens/intake.py", label="Take files in")
    return True


def back_to_now() -> None:
    """The way out of a look back at an earlier day."""
    st.button(
        "Show the project as it is now",
        key="back_to_now",
        on_click=filters.change,
        kwargs={"as_of": ""},
    )


def state_of(word: str) -> None:
    """A state in large type: shape, word and meaning."""
    st.html(f'<div class="pw-big-state">{theme.state_badge(word, 24)}</div>')


def pile_name(subject: str) -> None:
    """A pile's number in large type, so that a wrong tap is seen at once."""
    st.html(f'<div class="pw-big-pile">{escape(subject)}</div>')


def reasons(frame: pd.DataFrame, most: int = 3) -> None:
    """The first findings that object, each with its note."""
    lines = [
        f"<li>{theme.result_mark(row.result)} · {escape(row.kind)}"
        f"<small>{escape(str(row.note))}</small></li>"
        for row in frame.head(most).itertuples()
    ]
    if len(frame) > most:
        lines.append(f"<li><small>and {len(frame) - most} more on the Pile page</small></li>")
    st.html(f'<ul class="pw-reasons">{"".join(lines)}</ul>')


def pile_links(pile: str) -> None:
    """The chosen pile with ways to its page and its place."""
    with st.container(horizontal=True, vertical_alignment="center"):
        st.markdown(f"Chosen pile: **{literal(pile)}**")
        st.page_link("screens/pile.py", label=f"Why pile {literal(pile)} is in its state")
        st.page_link("screens/site_plan.py", label="Show it on the plan")


def waiting_time(waits: data.Waits) -> str:
    """How long piles have waited for the engineer; empty when none does or it is not dated."""
    if waits.median_days is None or waits.longest_days is None:
        return ""
    return f"median {waits.median_days:,.0f} days, longest {waits.longest_days:,.0f}"


def texts(rows: pd.DataFrame, name: str, system: str) -> pd.Series:
    """Column ``name`` as text with its unit; empty where there is no value."""
    known = rows[name].dropna().astype(float)
    text = known.map(lambda value: units.text(value, name, system))
    return text.reindex(rows.index).astype(object).fillna("")


def fixed_chart(figure, key: str, alt: str) -> None:
    """A figure whose size in pixels means something; a narrow page scrolls it."""
    st.plotly_chart(figure, key=key, config=PLAIN, alt=alt, width="content")


_BESIDE = {"measured": "limit_value", "limit_value": "measured"}  # shown side by side


def quantities(rows: pd.DataFrame, name: str, system: str) -> pd.Series:
    """Column ``name`` as text with units; each row names its unit in ``unit_column``.

    What is measured and its limit have the same decimals.
    """
    beside = rows[_BESIDE[name]] if name in _BESIDE else pd.Series(pd.NA, index=rows.index)
    texts = [
        "" if pd.isna(value) else units.text(value, column, system, None if pd.isna(by) else by)
        for value, column, by in zip(rows[name], rows["unit_column"], beside, strict=True)
    ]
    return pd.Series(texts, index=rows.index, dtype=object)
