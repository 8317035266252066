"""Overview: how far the job is, what state its piles are in, and what needs attention first."""

from __future__ import annotations

from html import escape

import pandas as pd
import streamlit as st

from core import units, words
from core.criteria.kinds import BLOCKS, OWNERS
from core.subjects.registry import FINDING
from dashboard import data, filters, theme
from dashboard.literal import literal
from dashboard.screens import frame, what_if

MOST_ITEMS = 8  # the first lines; Outstanding holds all of them


def main() -> None:
    """Draw the screen."""
    view = frame.open_view()
    system = frame.head(view)
    if frame.no_piles(view):
        return
    _numbers(view, system)
    left, right = st.container(key="beside").columns([1, 1.25], gap="large")
    with left:
        _states(view)
    with right:
        _areas(view, system)
    _attention(view, system)
    what_if.show(view, system)
    frame.cautions()


def _numbers(view: data.View, system: str) -> None:
    total = data.totals(view)
    cells = st.columns(4)
    live = f"{total['live']:,.0f}"
    cells[0].metric(
        "Positions satisfied",
        f"{total['satisfied']:,.0f} of {live}",
        border=True,
        height="stretch",
        help="Live positions of the schedule whose every needed pile is accepted.",
    )
    cells[1].metric(
        "In the ground",
        f"{total['in_ground']:,.0f} of {live}",
        border=True,
        height="stretch",
        help="Live positions with at least one production pile in the ground.",
    )
    cells[2].metric(
        "Length in ground",
        units.text(total["installed_mm"], "installed_mm", system),
        border=True,
        height="stretch",
        help="Production piles of live positions, along their axes.",
    )
    cells[3].metric(
        "Engineer review",
        f"{total['engineer']:,.0f} piles",
        border=True,
        height="stretch",
        delta=frame.waiting_time(data.waits(view)) or None,
        delta_color="off",
        delta_arrow="off",
        help=literal(words.STATE["engineer review"].meaning)
        + " Since the oldest finding that asks for it.",
    )


def _states(view: data.View) -> None:
    st.subheader("Piles by state")
    counts = data.states(view)
    colours = counts["state"].map(lambda word: words.STATE[word].colour)
    slices = "".join(
        f'<span style="flex:{row.piles};background:{colour}" title="{escape(row.state)}"></span>'
        for row, colour in zip(counts.itertuples(), colours, strict=True)
    )
    st.html(f'<div class="pw-bar" aria-hidden="true">{slices}</div>')
    rows = counts.assign(
        State=counts["state"].map(theme.state_badge),
        Letter=counts["state"].map(lambda word: words.STATE[word].letter),
        Meaning=counts["state"].map(lambda word: words.STATE[word].meaning),
        Piles=counts["piles"],
    )
    frame.table(rows[["State", "Letter", "Piles", "Meaning"]], ("Piles",), ("State",))
    open_runs = int(data.totals(view)["runs_not_closed"])
    if open_runs:
        meaning = FINDING["run_not_closed"].meaning
        piles = literal(", ".join(data.piles_not_closed(view)))
        st.markdown(f"**Runs not closed: {open_runs:,}** ({piles}) · {literal(meaning)}")


def _areas(view: data.View, system: str) -> None:
    st.subheader("By area")
    table = data.areas(view).reset_index()
    length = units.shown_unit("installed_mm", system)
    rows = pd.DataFrame(
        {
            "Area": table["area"].map(escape) + table["name"].map(_small),
            "Live positions": table["positions"],
            "Satisfied": table["satisfied"],
            "In the ground": table["in_ground"],
            f"Length [{length.symbol}]": units.shown_values(
                table["installed_mm"], "installed_mm", system
            ).map(f"{{:,.{length.decimals}f}}".format),
            "Engineer review": table["engineer review"],
            "Record incomplete": table["record incomplete"],
        }
    )
    frame.table(rows, tuple(rows.columns[1:]), ("Area",))


def _small(text: str) -> str:
    return f"<small>{escape(text)}</small>"


def _attention(view: data.View, system: str) -> None:
    st.subheader("What needs attention")
    items = data.attention(view)
    if items.empty:
        st.markdown("Nothing is outstanding.")
        return
    left, right = st.container(key="attention").columns([1, 1.9], gap="large")
    with left:
        kinds = data.attention_kinds(view).rename(columns={"kind": "Finding"})
        counts = kinds.columns[1:]
        kinds[counts] = kinds[counts].astype(str).replace("0", "")
        frame.table(kinds.head(MOST_ITEMS), tuple(counts))
        if len(kinds) > MOST_ITEMS:
            st.caption(f"and {len(kinds) - MOST_ITEMS} more kinds")
    with right:
        _attention_list(items.head(MOST_ITEMS), system)
        st.page_link(
            "screens/outstanding.py",
            label=f"All {len(items):,} outstanding items",
        )


def _attention_list(items: pd.DataFrame, system: str) -> None:
    rows = pd.DataFrame(
        {
            "Subject": items["subject"],
            "Area": items["area"],
            "Result": items["result"].map(theme.RESULT_SIGNS) + " " + items["result"],
            "Finding": items["kind"],
            "Measured": frame.quantities(items, "measured", system),
            "Limit": frame.quantities(items, "limit_value", system),
            "Age [days]": items["age_days"],
            "Note": items["note"],
            "Due since": items["due"].dt.strftime("%Y-%m-%d").fillna("not dated"),
            "Who": items["owner"].map(lambda code: OWNERS.get(code, code)),
            "Blocks": items["blocks"].map(_blocked),
            "Cleared by": items["clears"],
        }
    )
    st.dataframe(
        rows,
        hide_index=True,
        key=filters.key("attention"),
        on_select=lambda: _picked(items),
        selection_mode="single-row",
        alt="Outstanding items, worst first",
    )
    pile = filters.now().pile
    if pile:
        frame.pile_links(pile)
    else:
        st.caption("Tick a row to choose its pile.")


def _blocked(letters: str) -> str:
    return ", ".join(BLOCKS[letter] for letter in letters)


def _picked(items: pd.DataFrame) -> None:
    picked = st.session_state[filters.key("attention")]["selection"]["rows"]
    chosen = items.iloc[picked]
    piles = chosen["chooses"].explode().dropna()
    if len(piles):
        filters.choose(piles)


main()
