"""Outstanding: what somebody must still do, what it stops, who clears it, and for how long."""

from __future__ import annotations

from html import escape

import pandas as pd
import streamlit as st

from core.criteria.kinds import BLOCKS, OWNERS
from core.words import CAUTIONS
from dashboard import data, filters, theme
from dashboard.literal import literal, literals
from dashboard.screens import frame

HEIGHT, ROW, MOST_HIGH = 38, 35, 520
NOTHING = {"area": (), "owner": (), "blocks": (), "kind": (), "overdue": ""}
QUESTIONS = {
    "Everything": NOTHING,
    "What stops acceptance or concrete": {"blocks": ("A", "C"), "overdue": ""},
}
LABELS = {
    "area": ("Area", {}),
    "owner": ("Who clears it", OWNERS),
    "blocks": ("Blocks", BLOCKS),
    "kind": ("Finding", {}),
}


def main() -> None:
    """Draw the screen."""
    view = frame.open_view()
    system = frame.head(view)
    if frame.no_piles(view):
        return
    if view.assessment.attention.empty:
        st.subheader("Nothing is outstanding")
        st.markdown("Every finding that is due is met, or the contract does not require it.")
        frame.cautions()
        return
    _filters(view)
    chosen = filters.now()
    asked = (chosen.area, chosen.owner, chosen.blocks, chosen.kind, bool(chosen.overdue))
    items = data.items(view, *asked)
    _numbers(view, items)
    if items.empty:
        st.markdown("**No outstanding item passes the filters.** Widen them.")
    else:
        key = (view.key, asked)
        _by_owner(data.items_by_owner(key, items))
        _list(items, data.items_in_words(key, system, items))
        _by_subject(data.items_by_subject(view, items))
        _downloads(view, items, system)
    frame.cautions(CAUTIONS)


def _filters(view: data.View) -> None:
    with st.container(horizontal=True, vertical_alignment="bottom", key="ask"):
        for label, values in QUESTIONS.items():
            st.button(literal(label), key=f"ask_{label}", on_click=filters.change, kwargs=values)
        filters.overdue_switch()
    options = data.item_options(view)
    for place, name in zip(st.columns(len(LABELS)), LABELS, strict=True):
        with place:
            filters.list_box(name, options[name], *LABELS[name])


def _numbers(view: data.View, items: pd.DataFrame) -> None:
    area = filters.now().area
    waits = data.waits(view, area)
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
        help="Records and results of this list that were due before the day that judges and are "
        "not there. A measured value that waits for a decision is not overdue.",
    )
    cells[2].metric(
        "Wait for the engineer, " + (literals(area) or "whole job"),
        f"{waits.piles:,} piles",
        delta=frame.waiting_time(waits) or None,
        delta_color="off",
        delta_arrow="off",
        border=True,
        height="stretch",
        help="Production piles in engineer review, of the chosen areas or the whole job whatever "
        "the other filters say, each since its oldest finding that asks for it.",
    )


def _by_owner(table: pd.DataFrame) -> None:
    letters = [letter for letter in BLOCKS if table[letter].any()]
    rows = table.assign(owner=table["owner"].map(OWNERS))
    rows[letters] = rows[letters].astype(str).replace("0", "")
    names = {letter: f"Blocks {BLOCKS[letter]}" for letter in letters}
    names |= {"owner": "Who clears it", "all": "Items", "oldest_days": "Oldest [days]"}
    shown = rows[["owner", *letters, "all", "oldest_days"]].rename(columns=names)
    frame.table(shown, tuple(shown.columns[1:]))
    st.caption("An item that blocks two things stands in both columns and once under Items.")


def _list(items: pd.DataFrame, rows: pd.DataFrame) -> None:
    st.subheader("Items, worst first and oldest first")
    st.dataframe(
        rows,
        hide_index=True,
        height=min(MOST_HIGH, HEIGHT + ROW * len(rows)),
        key=filters.key("outstanding"),
        on_select=lambda: _picked(items),
        selection_mode="single-row",
        alt="Outstanding items, worst first",
    )
    pile = filters.now().pile
    if pile is None:
        st.caption("Tick a row to choose its pile and read its items in full.")
        return
    frame.pile_links(pile)
    own = items["chooses"].map(lambda piles: pile in piles)
    results = items.loc[own, "result"]
    told = rows[own].to_dict("records")
    sentences = [_sentence(word, row) for word, row in zip(results, told, strict=True)]
    if sentences:
        st.html(f'<ul class="pw-reasons">{"".join(sentences)}</ul>')
    else:
        st.caption(f"No item of this list is about pile {literal(pile)}.")


def _by_subject(rows: pd.DataFrame) -> None:
    with st.expander(f"One line per pile or instrument ({len(rows):,})"):
        st.dataframe(
            rows,
            hide_index=True,
            height=min(MOST_HIGH, HEIGHT + ROW * len(rows)),
            alt="Outstanding items, one line per pile or instrument",
        )
        owners = [f"{code} {OWNERS[code]}" for code in OWNERS]
        st.caption("Who clears it: " + literals(owners) + ".")


def _sentence(result: str, row: dict[str, object]) -> str:
    numbers = f": {row['Measured against limit']}" if row["Measured against limit"] else ""
    clause = f" (clause {row['Clause']})" if row["Clause"] else ""
    age = "age not known" if pd.isna(row["Age [days]"]) else f"{row['Age [days]']} days old"
    due = "no due day" if row["Due since"] == "not dated" else f"due {row['Due since']}"
    note = f" {row['Note']}." if row["Note"] else ""
    more = f"{note} Cleared by the {row['Who clears it']} with {row['Cleared by']}. "
    more += f"Blocks {row['Blocks']}; {due}, {age}."
    return (
        f"<li>{theme.result_mark(result)} · {escape(str(row['Finding']))}"
        f"{escape(numbers + clause)}<small>{escape(more.strip())}</small></li>"
    )


def _picked(items: pd.DataFrame) -> None:
    picked = st.session_state[filters.key("outstanding")]["selection"]["rows"]
    chosen = items.iloc[[place for place in picked if place < len(items)]]
    filters.choose(chosen["chooses"].explode().dropna())


def _downloads(view: data.View, items: pd.DataFrame, system: str) -> None:
    with st.container(horizontal=True, vertical_alignment="center"):
        for word, ending in (("XLSX", ".xlsx"), ("CSV", ".csv")):
            st.download_button(
                f"Download this list as {literal(word)}",
                lambda ending=ending: data.items_file(view, items, ending, system),
                f"outstanding_entry_{view.assessment.entry}{ending}",
                key=f"download{ending}",
                on_click="ignore",
            )
        st.caption("CSV is in store units; XLSX in the units shown.")


main()
