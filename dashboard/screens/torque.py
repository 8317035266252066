"""Torque: the profiles of a group laid over each other, and which pile is unlike its neighbours."""

from __future__ import annotations

from html import escape

import pandas as pd
import streamlit as st

from core.words import CAUTIONS
from dashboard import page, state
from dashboard.charts import torque as charts
from dashboard.data import torque, views
from dashboard.literal import literals

AXES = {"depth along the axis": "depth_mm", "level": "level_m"}


def main() -> None:
    """Draw the screen."""
    view = page.open_view()
    system = page.head(view)
    if page.no_piles(view):
        return
    piles = torque.compared_piles(view)
    if piles.empty:
        st.markdown(
            "**No torque readings are recorded yet.** Import the crew's logs on the Import page; "
            "this page then compares the piles of each area and type."
        )
        return
    axis = _controls(view)
    held = piles[state.mask(piles) & state.run_mask(piles)]
    shown = page.panels_of(held)
    _summary(view, piles, held, shown, axis)
    if state.current_filters().piles:
        page.selected_pile_bar(view, "Open")
    if held.empty:
        st.markdown("**No pile with readings passes the filters.** Widen them.")
    else:
        _figure(view, held, shown, axis, system)
        _list(held, system)
    page.cautions(CAUTIONS)


def _controls(view: views.View) -> str:
    """Group, pile, filters, and the upright axis of the profiles, which it returns."""
    with st.container(horizontal=True, vertical_alignment="bottom"):
        with st.container(width=260):
            state.group_box(torque.groups(view))
        with st.container(width=220):
            state.pile_box(views.subjects(view))
        with st.container(width="content"):
            axis = AXES[state.switch("axis", list(AXES), "Profiles over")]
        page.filter_popover(view)
    return axis


def _summary(
    view: views.View, piles: pd.DataFrame, held: pd.DataFrame, shown: list[str], axis: str
) -> None:
    chosen = set(state.current_filters().piles)
    drawn = held[held["group"].isin(shown)]
    lines = [f"{len(held):,} of {len(piles):,} piles with readings pass the filters."]
    if len(drawn) > page.MOST_LINES:
        lines.append(
            f"More than {page.MOST_LINES} profiles are not drawn one by one: see the median, the "
            "band and the selected piles."
        )
    if held["group"].nunique() > len(shown):
        lines.append(f"Only {len(shown)} groups are drawn; select an area and type to see another.")
    if hidden := sorted(chosen - set(drawn["subject"]), key=state.natural):
        named = page.shortened_list(hidden)
        lines.append(f"Selected, but replaced, without readings or outside the filters: {named}.")
    if len(chosen) > page.MOST_BOLD:
        lines.append(f"The last {page.MOST_BOLD} of the selected piles are bold.")
    if axis == "level_m" and (unknown := torque.without_level(view, drawn)):
        lines.append(f"{unknown:,} of them have no ground level or batter recorded and so no line.")
    st.html(f"<div>{escape(' '.join(lines))}</div>")


def _figure(view: views.View, held: pd.DataFrame, shown: list[str], axis: str, system: str) -> None:
    drawn = held[held["group"].isin(shown)]
    bold = page.bold_of(drawn)
    single = drawn["subject"] if len(drawn) <= page.MOST_LINES else drawn["subject"].iloc[:0]
    quiet = tuple(pile for pile in single if pile not in bold)
    figure = views.cached_figure(
        "torque by group",
        (view.key, axis, system, tuple(shown), quiet, tuple(bold)),
        lambda: charts.torque_by_group(
            [_panel(view, name, drawn, (quiet, bold), axis) for name in shown], axis, system
        ),
    )
    page.selectable_chart(figure, "profiles", "Torque of the piles of " + ", ".join(shown))
    st.caption(
        "Grey band and median: every pile of the area and type, independent of the other filters, "
        f"where at least {torque.MIN_PILES} piles have readings that count and are in the "
        "calibrated range. At depth it holds only the piles that went that deep. "
        "Click a line to select its pile; on a touch screen use the list."
    )


def _panel(
    view: views.View,
    name: str,
    drawn: pd.DataFrame,
    parts: tuple[tuple[str, ...], list[str]],
    axis: str,
) -> charts.Panel:
    own = drawn[drawn["group"] == name].set_index("subject", drop=False)
    quiet, bold = ([pile for pile in part if pile in own.index] for part in parts)
    return charts.Panel(
        name=f"{name} ({len(own):,})",
        quiet=torque.profiles(view, quiet),
        chosen=torque.profiles(view, bold),
        marks=own.loc[bold],
        band=torque.band(view, name, axis),
    )


MEANINGS = {
    "all": "Every pile that passes the filters; replaced piles are left out.",
    "below": "Final torque below the required torque, the largest shortfall first.",
    "barely": "Required torque met, the smallest ratio first.",
    "unlike": "Share of the length outside the band of its own area and type, the largest first; "
    "about a fifth outside is usual.",
    "falling": "Last reading of the final window below the maximum in it, the largest drop first; "
    "in brackets those beyond the project's limit.",
    "rating": "Maximum torque over the rating, the highest first; in brackets those above it.",
}
# Heading of every column, in the usual order.
HEADINGS = {
    "final_torque_lower_bound_nm": "final torque",
    "required_torque_nm": "minimum required",
    "required_by": "basis of required torque",
    "torque_ratio": "final / required",
    "torque_margin_nm": "margin",
    "torque_uncertainty_nm": "± uncertainty",
    "required_result": "required torque",
    "installed_mm": "length",
    "from_median_nm": "difference from median",
    "outside_share": "outside the band",
    "drop_share": "drop at the end",
    "max_torque_nm": "maximum torque",
    "max_depth_mm": "maximum at depth",
    "rated_torque_nm": "rating",
    "rated_share": "maximum / rated",
    "rated_result": "rated torque",
    "rated_by": "weakest part",
    "last_torque_nm": "last reading",
    "drop_result": "drop limit",
}
# What comes first in a list; the rest follows.
FIRST = {
    "unlike": ["outside_share", "from_median_nm", "installed_mm"],
    "falling": ["drop_share", "drop_result", "last_torque_nm"],
    "rating": [
        "max_torque_nm",
        "rated_torque_nm",
        "rated_share",
        "max_depth_mm",
        "rated_by",
        "rated_result",
    ],
}
RATIO = "%.3f"


def _list(held: pd.DataFrame, system: str) -> None:
    """Draw the switch between lists, and the one picked; a ticked row selects its pile."""
    st.subheader("Piles")
    counts = torque.counts(held)
    words = torque.LISTS | {n: f"{torque.LISTS[n]} ({count:,})" for n, count in counts.items()}
    name = state.list_switch(words, "Which piles")
    found = torque.listed(held, name)
    st.caption(literals([MEANINGS[name], *_unknown(held, name)], " "))
    if found.empty:
        st.markdown("**None.**")
        return
    shown = _columns(found, name, system)
    shown.draw("torque_list", "Piles with their torque beside what is required, rated and usual")


def _unknown(held: pd.DataFrame, name: str) -> list[str]:
    lines = []
    if number := torque.without_evidence(held, name):
        lines.append(f"{number:,} more without evidence.")
    if number := torque.not_yet_due(held, name):
        lines.append(f"{number:,} more not yet due.")
    return lines


def _columns(found: pd.DataFrame, name: str, system: str) -> page.PileList:
    """The list ``name``, with what it is about first."""
    shown = page.PileList(found, system)
    first = FIRST.get(name, [])
    unknown = found["torque_uncertainty_nm"].isna().all()
    for column in [*first, *(one for one in HEADINGS if one not in first)]:
        if column == "torque_uncertainty_nm" and unknown:
            continue
        if column.endswith("_result"):
            shown.result(column, HEADINGS[column])
        elif column in ("rated_by", "required_by"):
            shown.rows[HEADINGS[column]] = found[column]
        else:
            plain = page.PERCENT if column.endswith("_share") else RATIO
            shown.number(column, HEADINGS[column], plain)
    shown.rows |= {"area and type": found["group"], "rig": found["rig"]}
    shown.day("run_on", "last run")
    shown.rows["note"] = found["required_note"]
    return shown


main()
