"""Furniture of every screen: head, tables, cautions, links, lists of piles, and the error page."""

from __future__ import annotations

from dataclasses import dataclass, field
from html import escape

import pandas as pd
import streamlit as st

from core import units, words
from core.errors import (
    NoProject,
    PilewrightError,
    ProjectError,
    StoreBusy,
    StoreDamaged,
    StoreTooNew,
)
from core.words import CAUTIONS
from dashboard import state, theme
from dashboard.data import outstanding, pile, views
from dashboard.literal import literal

PLAIN = {"displaylogo": False, "displayModeBar": False}
MOST_LINES = 300  # single lines that a browser draws without waiting
MOST_BOLD = 8
MOST_PANELS = 6
FEW_ROWS = 10
PERCENT = "%.1f %%"  # of a share
DAY = st.column_config.DateColumn(format="D MMM YYYY")


def open_view() -> views.View:
    """The view of the project that the address asks for. Raises PilewrightError."""
    where = views.folder()
    try:
        as_of = state.as_of()
    except ValueError:
        written = literal(state.current_filters().as_of)
        st.warning(
            f"“{written}” is neither an entry number nor a day such as 2026-05-31; the project is "
            "shown as it is now."
        )
        as_of = None
    return views.opened(where, as_of)


def head(view: views.View) -> str:
    """Project, date of the data, units and as-of; returns the unit system shown."""
    state.check(views.link_values(view))
    assessment = view.assessment
    job = assessment.project.tables.project
    with st.container(horizontal=True, vertical_alignment="center", key="head"):
        title(job.name, _stamp(assessment))
        system = state.units_switch(job.system)
        with st.popover("As of"):
            st.text_input(
                "Show the project as of",
                placeholder="now",
                help="An entry number of the ledger, or a day as 2026-05-31. Empty shows it now.",
                **state.bound("as_of"),
            )
    if assessment.entry and not assessment.settings_recorded:
        st.info(
            "project.toml differs from the settings last recorded in the ledger. This page uses "
            "the file; the next write records it."
        )
    _watch(view)
    return system


def title(name: str, stamp: str) -> None:
    """The project's name and the entry and date of its data."""
    st.html(
        f'<div class="pw-title">{escape(name)}</div><div class="pw-stamp">{escape(stamp)}</div>'
    )


def _stamp(assessment) -> str:
    day = theme.day(assessment.on)
    if not assessment.entry:
        return f"No entry in the ledger yet. Assessed on {day}."
    as_of = state.current_filters().as_of
    looking_back = f" (as of {as_of}, not now)" if as_of else ""
    return f"Data as of entry {assessment.entry}{looking_back}. Assessed on {day}."


@st.fragment(run_every="5s")
def _watch(view: views.View) -> None:
    """Offer a redraw when the ledger or project.toml has moved since this page was drawn."""
    if views.has_moved(view):
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


def no_piles(view: views.View) -> bool:
    """Say what to do when the project holds no pile; True when that is so."""
    if views.subjects(view):
        return False
    if as_of := state.current_filters().as_of:
        st.subheader(f"The project held no piles as of {literal(as_of)}")
        back_to_now()
        return True
    st.subheader("This project has no piles yet")
    folder = literal(views.folder().name)
    st.markdown(
        "Import the schedule first: every position of its latest revision is then listed as "
        "*not started*. Then import the crew's files. Use the Import page, or the command "
        f'line:\n\npilewright import {folder} schedule.csv --by "Your Name"\n\n'
        "Nothing is stored before every row is recognised."
    )
    st.page_link("screens/import_files.py", label="Import files")
    return True


def back_to_now() -> None:
    """The way out of a look back at an earlier day."""
    st.button(
        "Show the project as it is now",
        key="back_to_now",
        on_click=state.change,
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
        st.markdown(f"Selected pile: **{literal(pile)}**")
        st.page_link("screens/pile.py", label=f"Findings of pile {literal(pile)}")
        st.page_link("screens/site_plan.py", label="Show on the plan")


def counted(number: int, thing: str) -> str:
    """A number of things: 1 pile, 2 piles."""
    return f"{number:,} {thing}" + ("" if number == 1 else "s")


def waiting_time(waits: outstanding.Waits) -> str:
    """How long piles have waited for the engineer; empty when none does or it is not dated."""
    if waits.median_days is None or waits.longest_days is None:
        return ""
    return f"median {waits.median_days:,.0f}, longest {counted(int(waits.longest_days), 'day')}"


def texts(rows: pd.DataFrame, name: str, system: str) -> pd.Series:
    """Column ``name`` as text with its unit; empty where there is no value."""
    known = rows[name].dropna().astype(float)
    text = known.map(lambda value: units.text(value, name, system))
    return text.reindex(rows.index).astype(object).fillna("")


def fixed_chart(figure, key: str, alt: str) -> None:
    """A figure whose size in pixels means something; a narrow page scrolls it."""
    st.plotly_chart(figure, key=key, config=PLAIN, alt=alt, width="content")


def measured_texts(rows: pd.DataFrame, system: str) -> pd.DataFrame:
    """Columns *Measured* and *Limit* of findings in words; a dash where there is none."""
    return views.measured_texts(rows, system).replace("", "–").rename(columns=str.capitalize)


def quantities(rows: pd.DataFrame, name: str, system: str) -> pd.Series:
    """Column ``name`` as text with units; each row names its unit in ``unit_column``.

    A dash where there is none.
    """
    texts = [
        "–" if pd.isna(value) else units.text(value, column, system)
        for value, column in zip(rows[name], rows["unit_column"], strict=True)
    ]
    return pd.Series(texts, index=rows.index, dtype=object)


def filter_popover(view: views.View) -> None:
    """The filters behind one button that names those in use."""
    used = ", ".join(state.in_use())
    with st.popover(f"Filter: {literal(used)}" if used else "Filter", key="filter"):
        state.filter_widgets(views.options(view))
        state.day_boxes()


def panels_of(piles: pd.DataFrame) -> list[str]:
    """Groups that are drawn: those with most piles, and always that of the pile."""
    sizes = piles["group"].value_counts()
    own = piles.loc[piles["subject"].isin(state.current_filters().piles[-1:]), "group"].tolist()
    return sorted([*own, *(name for name in sizes.index if name not in own)][:MOST_PANELS])


def bold_of(drawn: pd.DataFrame) -> list[str]:
    """Chosen piles among those drawn, the last ones."""
    held = set(drawn["subject"])
    return [pile for pile in state.current_filters().piles if pile in held][-MOST_BOLD:]


def selected_pile_bar(view: views.View, label: str) -> None:
    """Number and state of the chosen pile, the way to its page under ``label``, and the way out."""
    subject = state.current_filters().pile
    row = pile.row(view, subject)
    with st.container(horizontal=True, vertical_alignment="center"):
        with st.container(width="content"):
            pile_name(subject)
        if row is not None:
            with st.container(width="content"):
                state_of(row["state"])
        st.page_link("screens/pile.py", label=f"{literal(label)} pile {literal(subject)}")
        clear_selection()


def clear_selection() -> None:
    """The way out of a selection of piles."""
    st.button("Clear selection", on_click=state.select, args=((),), key="clear_selection")


def shortened_list(names: list[str]) -> str:
    """The first of ``names``."""
    return ", ".join(names[:5]) + (" …" if len(names) > 5 else "")


def selectable_chart(figure, name: str, alt: str) -> None:
    """A figure on which a click on a point chooses its pile."""
    st.plotly_chart(
        figure,
        key=state.key(name),
        on_select=lambda: _point_clicked(name),
        selection_mode="points",
        config=PLAIN,
        alt=alt,
    )


def _point_clicked(name: str) -> None:
    points = st.session_state[state.key(name)]["selection"]["points"]
    named = [point["customdata"][0] for point in points if "customdata" in point]
    if named:
        state.select(named[:1])


@dataclass
class PileList:
    """Columns of the list and how each of its numbers is printed."""

    found: pd.DataFrame
    system: str
    rows: dict[str, object] = field(default_factory=dict)
    formats: dict[str, object] = field(default_factory=dict)

    def __post_init__(self) -> None:
        held = self.found["state"]
        letters = held.map(lambda word: words.STATE[word].letter)
        self.rows |= {"pile": self.found["subject"], "state": letters + " · " + held}
        self.formats["pile"] = st.column_config.TextColumn(pinned=True)
        self.formats["state"] = st.column_config.TextColumn(width=170)

    def result(self, column: str, heading: str) -> None:
        """Add results with their signs."""
        values = self.found[column]
        signs = values.map(theme.RESULT_SIGNS).fillna("")
        self.rows[heading] = (signs + " " + values).str.strip()

    def day(self, column: str, heading: str) -> None:
        """Add days."""
        self.rows[heading] = self.found[column].dt.date
        self.formats[heading] = DAY

    def number(self, column: str, heading: str, plain: str, min_decimals: int = 0) -> None:
        """Add numbers in the units shown; ``plain`` is the format of one without a unit."""
        unit, values = units.shown_unit(column, self.system), self.found[column].astype(float)
        if plain == PERCENT:
            values = 100 * values
        if unit:
            heading = f"{heading} [{unit.symbol}]"
            values = units.shown_values(values, column, self.system)
            plain = f"%.{max(unit.decimals, min_decimals)}f"
        self.rows[heading] = values
        self.formats[heading] = st.column_config.NumberColumn(format=plain)

    def draw(self, name: str, alt: str) -> None:
        """Draw the list."""
        subjects = self.found["subject"].tolist()
        key = state.key(f"{name}_{hash(tuple(subjects))}")
        st.dataframe(
            pd.DataFrame(self.rows),
            hide_index=True,
            height=420 if len(subjects) > FEW_ROWS else "auto",
            key=key,
            column_config=self.formats,
            placeholder="–",
            on_select=lambda: _rows_picked(key, subjects),
            selection_mode="multi-row",
            alt=alt,
        )


def _rows_picked(key: str, subjects: list[str]) -> None:
    picked = st.session_state[key]["selection"]["rows"]
    state.select(subjects[place] for place in picked)


@dataclass(frozen=True)
class ErrorPage:
    """What such a page says: its title, and what to do next."""

    title: str
    remedy: str


MISSING = ErrorPage(
    "There is no project here",
    "A project is a folder that holds `project.toml` and the ledger. Look for its right name and "
    "open it with `pilewright open FOLDER`; for a new job make one with `pilewright new FOLDER`. "
    "Nothing was made or changed.",
)
FAULTY_SETTINGS = ErrorPage(
    "The settings have faults",
    "Correct these lines of `project.toml` in a text editor, save it, and load this page again. "
    "The ledger is intact and unchanged; piles are assessed again once the settings are right.",
)
BY_ERROR: dict[type[PilewrightError], ErrorPage] = {
    NoProject: MISSING,
    ProjectError: ErrorPage(
        "This project cannot be used as it is",
        "Nothing was changed. Correct the fault above, then load this page again.",
    ),
    StoreBusy: ErrorPage(
        "The project is being written to",
        "Importing a large file can take a minute. Wait, then load this page again. If nobody is "
        "working on it, another program still has the ledger open: close it.",
    ),
    StoreTooNew: ErrorPage(
        "This project belongs to a newer version of the program",
        "Install that version on this machine, or open the project on a machine that has it. This "
        "version neither reads nor changes the ledger.",
    ),
    StoreDamaged: ErrorPage(
        "The ledger cannot be read",
        "Do not write to this project. Make a new folder from the last backup with `pilewright "
        "restore BACKUP NEW_FOLDER`, or ask for help with what `pilewright verify FOLDER` prints. "
        "The attachments are not touched.",
    ),
}
OTHER = ErrorPage("This cannot be shown", "")


def _error_page_of(error: PilewrightError) -> ErrorPage:
    """The page for an error."""
    if isinstance(error, ProjectError) and error.faults:
        return FAULTY_SETTINGS
    return next((page for kind, page in BY_ERROR.items() if isinstance(error, kind)), OTHER)


def error_page(error: PilewrightError) -> None:
    """Draw the page of an error."""
    page = _error_page_of(error)
    first, *faults = str(error).splitlines()
    st.subheader(literal(page.title))
    st.error(literal(first))
    if faults:
        parts = [fault.strip().partition(": ") for fault in faults]
        keys, faulty = ([part[at] for part in parts] for at in (0, 2))
        table(pd.DataFrame({"Key": keys, "Fault": faulty}))
    if page.remedy:
        st.markdown(page.remedy)
    with st.container(horizontal=True):
        st.button("Load this page again", key="load_again")
        if state.current_filters().as_of:
            back_to_now()
