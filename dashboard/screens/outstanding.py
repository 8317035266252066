"""Outstanding: what is still open, what it blocks, who is responsible, and for how long."""

from __future__ import annotations

from html import escape

import pandas as pd
import streamlit as st

from core.words import CAUTIONS
from dashboard import page, state, theme
from dashboard.data import outstanding, views
from dashboard.literal import literal, literals

HEIGHT, ROW, MOST_HIGH = 38, 35, 520
LABELS = {"area": "Area", "responsible": "Responsible", "blocks": "Blocks", "finding": "Finding"}
EVERYTHING = {**dict.fromkeys(LABELS, ()), "overdue": False}
STOPS_WORK = {"blocks": [views.BLOCKS[letter] for letter in "AC"], "overdue": False}


def main() -> None:
    """Draw the screen."""
    view = page.open_view()
    system = page.head(view)
    if page.no_piles(view):
        return
    if view.assessment.attention.empty:
        st.subheader("Nothing is outstanding")
        st.markdown("Every finding that is due is met, or the contract does not require it.")
        page.cautions()
        return
    _filters(view)
    chosen = state.current_filters()
    wanted = (chosen.area, chosen.responsible, chosen.blocks, chosen.finding, chosen.overdue)
    items = outstanding.items(view, *wanted)
    _numbers(view, items)
    if items.empty:
        st.markdown("**No outstanding item passes the filters.** Widen them.")
    else:
        key = (view.key, wanted)
        _by_owner(outstanding.items_by_owner(key, items))
        _list(items, outstanding.items_in_words(key, system, items))
        _by_subject(outstanding.items_by_subject(view, items))
        _downloads(view, items, system)
    page.cautions(CAUTIONS)


def _filters(view: views.View) -> None:
    with st.container(horizontal=True, vertical_alignment="bottom", key="quick_filters"):
        st.button("All items", key="all_items", on_click=state.change, kwargs=EVERYTHING)
        st.button(
            "Blocks acceptance or concrete",
            key="stops_work",
            on_click=state.change,
            kwargs=STOPS_WORK,
        )
        st.toggle(
            "Overdue only",
            help="Records and results that were due before the date of assessment and are "
            "missing. A measured value that awaits a decision is not overdue.",
            **state.bound("overdue"),
        )
    options = outstanding.item_options(view)
    for place, name in zip(st.columns(len(LABELS)), LABELS, strict=True):
        with place:
            state.list_box(name, options[name], LABELS[name])


def _numbers(view: views.View, items: pd.DataFrame) -> None:
    area = state.current_filters().area
    waits = outstanding.waits(view, area)
    cells = st.columns(3)
    cells[0].metric(
        "Items in this list",
        f"{len(items):,} of {len(view.assessment.attention):,}",
        border=True,
        height="stretch",
        help="One item per finding that is not met, lacks evidence, waits or is noted.",
    )
    cells[1].metric(
        "Overdue",
        f"{items['late'].sum():,}",
        border=True,
        height="stretch",
        help="Records and results of this list that were due before the date of assessment "
        "and are missing. A measured value that awaits a decision is not overdue.",
    )
    cells[2].metric(
        "Awaiting engineer, " + (literals(area) or "whole job"),
        page.counted(waits.piles, "pile"),
        delta=page.waiting_time(waits) or None,
        delta_color="off",
        delta_arrow="off",
        border=True,
        height="stretch",
        help="Production piles in engineer review, of the selected areas or the whole job "
        "independent of the other filters, each since its oldest open finding.",
    )


def _by_owner(table: pd.DataFrame) -> None:
    letters = [letter for letter in views.BLOCKS if table[letter].any()]
    rows = table.assign(responsible=table["responsible"].map(views.RESPONSIBLE))
    rows[letters] = rows[letters].astype(str).replace("0", "–")
    names = {letter: f"Blocks {views.BLOCKS[letter]}" for letter in letters}
    names |= {"responsible": "Responsible", "all": "Items", "oldest_days": "Oldest [days]"}
    shown = rows[["responsible", *letters, "all", "oldest_days"]].rename(columns=names)
    page.table(shown, tuple(shown.columns[1:]))
    st.caption("An item that blocks two things is counted in both columns and once under Items.")


def _list(items: pd.DataFrame, rows: pd.DataFrame) -> None:
    st.subheader("Items, worst and oldest first")
    st.dataframe(
        rows,
        hide_index=True,
        height=min(MOST_HIGH, HEIGHT + ROW * len(rows)),
        key=state.key("outstanding"),
        column_config={"Due date": page.DAY},
        placeholder="–",
        on_select=lambda: _picked(items),
        selection_mode="single-row",
        alt="Outstanding items, worst first",
    )
    pile = state.current_filters().pile
    if pile is None:
        st.caption("Tick a row to select its pile and read its items in full.")
        return
    page.pile_links(pile)
    own = items["chooses"].map(lambda piles: pile in piles)
    results = items.loc[own, "result"]
    records = rows[own].to_dict("records")
    sentences = [_sentence(word, row) for word, row in zip(results, records, strict=True)]
    if sentences:
        st.html(f'<ul class="pw-reasons">{"".join(sentences)}</ul>')
    else:
        st.caption(f"No item of this list is about pile {literal(pile)}.")


def _by_subject(rows: pd.DataFrame) -> None:
    with st.expander(f"One line per pile, instrument or heat ({len(rows):,})"):
        st.dataframe(
            rows,
            hide_index=True,
            height=min(MOST_HIGH, HEIGHT + ROW * len(rows)),
            placeholder="–",
            alt="Outstanding items, one line per pile, instrument or heat",
        )


def _sentence(result: str, row: dict[str, object]) -> str:
    numbers = f": {row['Measured against limit']}" if row["Measured against limit"] else ""
    clause = f" (clause {row['Clause']})" if row["Clause"] else ""
    age = row["Age [days]"]
    age = "age not known" if pd.isna(age) else f"{page.counted(int(age), 'day')} old"
    due = "no due date" if pd.isna(row["Due date"]) else f"due {theme.day(row['Due date'])}"
    note = f" {row['Note']}." if row["Note"] else ""
    more = f"{note} Responsible: {row['Responsible']}. Closed by {row['Closed by']}. "
    more += f"Blocks {row['Blocks']}; {due}, {age}."
    return (
        f"<li>{theme.result_mark(result)} · {escape(str(row['Finding']))}"
        f"{escape(numbers + clause)}<small>{escape(more.strip())}</small></li>"
    )


def _picked(items: pd.DataFrame) -> None:
    picked = st.session_state[state.key("outstanding")]["selection"]["rows"]
    chosen = items.iloc[[place for place in picked if place < len(items)]]
    state.select(chosen["chooses"].explode().dropna())


def _downloads(view: views.View, items: pd.DataFrame, system: str) -> None:
    with st.container(horizontal=True, vertical_alignment="center"):
        for word, ending in (("XLSX", ".xlsx"), ("CSV", ".csv")):
            st.download_button(
                f"Download this list as {literal(word)}",
                lambda ending=ending: outstanding.items_file(view, items, ending, system),
                f"outstanding_entry_{view.assessment.entry}{ending}",
                key=f"download{ending}",
                on_click="ignore",
            )
        st.caption("CSV is in store units; XLSX in the units shown.")


main()
