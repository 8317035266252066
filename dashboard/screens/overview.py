"""Overview: how far the job is, what state its piles are in, what needs attention, and what if."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from html import escape

import pandas as pd
import streamlit as st

from core import units, words
from core.errors import PilewrightError
from dashboard import page, state, theme
from dashboard.data import outstanding, overview, views
from dashboard.literal import literal, literals

MOST_ITEMS = 8  # the first lines; Outstanding holds all of them
GAUGE, FACTOR, LOADS, REVISION = "gauge error", "torque factor", "loads", "schedule revision"


def main() -> None:
    """Draw the screen."""
    view = page.open_view()
    system = page.head(view)
    if page.no_piles(view):
        return
    _numbers(view, system)
    left, right = st.container(key="beside").columns([1, 1.25], gap="large")
    with left:
        _states(view)
    with right:
        _areas(view, system)
    _attention(view, system)
    _what_if(view, system)
    page.cautions()


def _numbers(view: views.View, system: str) -> None:
    total = overview.totals(view)
    cells = st.columns(4)
    live = f"{total['current']:,.0f}"
    cells[0].metric(
        "Positions accepted",
        f"{total['accepted']:,.0f} of {live}",
        border=True,
        height="stretch",
        help="Positions of the current schedule whose every required pile is accepted.",
    )
    cells[1].metric(
        "In the ground",
        f"{total['in_ground']:,.0f} of {live}",
        border=True,
        height="stretch",
        help="Positions of the current schedule with at least one production pile in the ground.",
    )
    cells[2].metric(
        "Length in the ground",
        units.text(total["installed_mm"], "installed_mm", system),
        border=True,
        height="stretch",
        help="Production piles of the current schedule, along their axes.",
    )
    cells[3].metric(
        "Engineer review",
        page.counted(int(total["engineer"]), "pile"),
        border=True,
        height="stretch",
        delta=page.waiting_time(outstanding.waits(view)) or None,
        delta_color="off",
        delta_arrow="off",
        help=literal(words.STATE["engineer review"].meaning)
        + " Waiting time counts from its oldest open finding.",
    )


def _states(view: views.View) -> None:
    st.subheader("Piles by state")
    counts = overview.states(view)
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
    page.table(rows[["State", "Letter", "Piles", "Meaning"]], ("Piles",), ("State",))
    open_runs = int(overview.totals(view)["runs_not_closed"])
    if open_runs:
        meaning = overview.RUN_NOT_CLOSED
        piles = literal(", ".join(overview.piles_not_closed(view)))
        st.markdown(f"**Runs not closed: {open_runs:,}** ({piles}) · {literal(meaning)}")


def _areas(view: views.View, system: str) -> None:
    st.subheader("By area")
    table = overview.areas(view)
    length = units.shown_unit("installed_mm", system)
    rows = pd.DataFrame(
        {
            "Area": [_area(row.area, row.name_of) for row in table.itertuples()],
            "Positions": table["positions"],
            "Accepted": table["accepted"],
            "In the ground": table["in_ground"],
            f"Length [{length.symbol}]": units.shown_values(
                table["installed_mm"], "installed_mm", system
            ).map(f"{{:,.{length.decimals}f}}".format),
            "Engineer review": table["engineer review"],
            "Record incomplete": table["record incomplete"],
        }
    )
    page.table(rows, tuple(rows.columns[1:]), ("Area",))


def _area(mark: str, name: str) -> str:
    """An area with its name under it, or the words of a row that is none."""
    return f"{escape(mark)}<small>{escape(name)}</small>" if mark else escape(name)


def _attention(view: views.View, system: str) -> None:
    st.subheader("What needs attention")
    items = outstanding.attention(view)
    if items.empty:
        st.markdown("Nothing is outstanding.")
        return
    left, right = st.container(key="attention").columns([1, 1.9], gap="large")
    with left:
        kinds = overview.attention_kinds(view).rename(columns={"kind": "Finding"})
        counts = kinds.columns[1:]
        kinds[counts] = kinds[counts].astype(str).replace("0", "–")
        page.table(kinds.head(MOST_ITEMS), tuple(counts))
        if len(kinds) > MOST_ITEMS:
            st.caption(f"and {len(kinds) - MOST_ITEMS} more kinds")
    with right:
        _attention_list(items.head(MOST_ITEMS), system)
        st.page_link(
            "screens/outstanding.py",
            label=f"All {len(items):,} outstanding items",
        )


def _attention_list(items: pd.DataFrame, system: str) -> None:
    rows = outstanding.in_words(items, system)
    st.dataframe(
        rows,
        hide_index=True,
        key=state.key("attention"),
        column_config={"Due date": page.DAY},
        placeholder="–",
        on_select=lambda: _picked(items),
        selection_mode="single-row",
        alt="Outstanding items, worst first",
    )
    pile = state.current_filters().pile
    if pile:
        page.pile_links(pile)
    else:
        st.caption("Tick a row to select its pile.")


def _picked(items: pd.DataFrame) -> None:
    picked = st.session_state[state.key("attention")]["selection"]["rows"]
    chosen = items.iloc[picked]
    piles = chosen["chooses"].explode().dropna()
    if len(piles):
        state.select(piles)


def _what_if(view: views.View, system: str) -> None:
    """Draw the inputs of a scenario, and what it changes once it is run."""
    st.subheader("What if", anchor="what-if")
    scenario_options = overview.scenario_options(view)
    _scenario_boxes(
        list(scenario_options.gauges.itertuples()),
        list(scenario_options.factors.itertuples()),
        scenario_options.revisions,
        system,
    )
    sentence = state.current_filters().scenario
    if not sentence:
        st.caption("Assesses every pile again with one input changed. Nothing is stored.")
        return
    try:
        answer = overview.what_if(view, sentence, system)
    except PilewrightError as error:
        st.warning(literal(error))
        return
    _answer(sentence, answer)


def _answer(sentence: str, answer) -> None:
    moved = answer.moved
    number = "1 pile changes its" if len(moved) == 1 else f"{len(moved)} piles change their"
    st.markdown(f"Scenario: **{literal(sentence)}**. **{number} state.**")
    st.caption(
        literals(answer.notes, " ") + " Sign-offs are left out of the comparison. Not stored."
    )
    if moved.empty:
        return
    rows = pd.DataFrame(
        {
            "Pile": [f'<span class="pw-result">{escape(pile)}</span>' for pile in moved["pile_id"]],
            "Area": moved["area"].fillna("").map(escape),
            "State now": moved["state"].map(_state_or_word),
            "In the scenario": moved["state_then"].map(_state_or_word),
            "Reason": moved["why"].map(escape),
        }
    )
    page.table(rows, marked=tuple(rows.columns))
    st.button(
        "Select these piles",
        key="select_moved",
        on_click=state.select,
        args=(moved["pile_id"].tolist(),),
        help="They are marked on the Site plan and bold on Torque.",
    )


def _state_or_word(word: str) -> str:
    return escape(word) if word == "not there" else theme.state_badge(word)


def _scenario_boxes(
    gauges: Sequence, factors: Sequence, revisions: Sequence[str], system: str
) -> None:
    """Inputs of one scenario, and the button that runs it.

    A scenario is a sentence, so that the address and the command line can hold it.
    ``gauges``: rows with instrument_id, first and last; ``factors``: rows with id and
    torque_factor_per_m, entered in the units of ``system``.
    """
    kinds = [
        kind
        for kind, some in ((GAUGE, gauges), (FACTOR, factors), (LOADS, True), (REVISION, revisions))
        if some
    ]
    with st.container(horizontal=True, vertical_alignment="bottom"):
        kind = st.selectbox("Scenario", kinds, key="scenario_kind", width=220)
        sentence = {
            GAUGE: lambda: _gauge(gauges),
            FACTOR: lambda: _factor(factors, system),
            LOADS: _loads,
            REVISION: lambda: _revision(revisions),
        }[kind]()
        run = {"scenario": sentence}
        st.button("Run scenario", key="run_scenario", on_click=state.change, kwargs=run)
        if state.current_filters().scenario:
            end = {"scenario": ""}
            st.button("End scenario", key="end_scenario", on_click=state.change, kwargs=end)


def _gauge(gauges: Sequence) -> str:
    by_id = {row.instrument_id: row for row in gauges}
    chosen = by_id[st.selectbox("Instrument", list(by_id), key="scenario_gauge", width=160)]
    share = st.number_input(
        "Gauge error, % (+ reads high)",
        -50.0,
        50.0,
        5.0,
        0.5,
        key="scenario_share",
        width=220,
    )
    days = st.date_input(
        "First and last day",
        (chosen.first.date(), chosen.last.date()),
        key=f"scenario_days_{chosen.instrument_id}",
        format="YYYY-MM-DD",
    )
    first, last = (days[0], days[-1]) if days else (date.min, date.min)
    side = "high" if share >= 0 else "low"
    return f"gauge {chosen.instrument_id} read {abs(share):g} % {side} from {first} to {last}"


def _factor(factors: Sequence, system: str) -> str:
    shown = units.shown_unit("torque_factor_per_m", system)
    assert shown is not None
    unit = shown.symbol
    by_id = {row.id: row.torque_factor_per_m for row in factors}
    chosen = st.selectbox("Torque factor", list(by_id), key="scenario_factor", width=160)
    value = st.number_input(
        f"Kt [{literal(unit)}]",
        0.1,
        200.0,
        round(by_id[chosen] * units.factor("1/m", shown.expression), 2),
        0.5,
        key=f"scenario_value_{chosen}_{system}",
        width=160,
    )
    return f"torque factor {chosen} = {value:g} {unit}"


def _loads() -> str:
    factor = st.number_input("Load factor", 0.1, 10.0, 1.1, 0.05, key="scenario_loads", width=160)
    return f"loads x {factor:g}"


def _revision(revisions: Sequence[str]) -> str:
    chosen = st.selectbox("Revision", list(revisions), key="scenario_revision", width=160)
    return f"revision {chosen} in force"


main()
