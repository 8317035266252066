"""Torque: the profiles of a group laid over each other, and which pile is unlike its neighbours."""

from __future__ import annotations

from html import escape

import pandas as pd
import streamlit as st

from core.words import CAUTIONS
from dashboard import data, filters
from dashboard.charts import torque_area
from dashboard.screens import frame, group, torque_list

ALONG = {"depth_mm": "depth along the axis", "level_m": "level"}


def main() -> None:
    """Draw the screen."""
    view = frame.open_view()
    system = frame.head(view)
    if frame.no_piles(view):
        return
    piles = data.compared_piles(view)
    if piles.empty:
        st.markdown(
            "**No torque readings are recorded yet.** Take the crew's logs in on the Intake page; "
            "this page then sets the piles of each area and type side by side."
        )
        return
    along = _choose(view)
    held = piles[filters.mask(piles) & filters.run_mask(piles)]
    shown = group.panels_of(held)
    _told(view, piles, held, shown)
    if filters.now().piles:
        group.the_pile(view, "All about")
    if held.empty:
        st.markdown("**No pile with readings passes the filters.** Widen them.")
    else:
        _figure(view, held, shown, along, system)
        torque_list.draw(held, system)
    frame.cautions(CAUTIONS)


def _choose(view: data.View) -> str:
    """Group, pile, filters and what the profiles run along, which it returns."""
    with st.container(horizontal=True, vertical_alignment="bottom"):
        with st.container(width=260):
            filters.group_box(data.groups(view))
        with st.container(width=220):
            filters.pile_box(data.subjects(view))
        with st.container(width="content"):
            along = filters.switch("along", ALONG, "Profiles over")
        group.filter_popover(view)
    return along


def _told(view: data.View, piles: pd.DataFrame, held: pd.DataFrame, shown: list[str]) -> None:
    chosen = set(filters.now().piles)
    drawn = held[held["group"].isin(shown)]
    lines = [f"{len(held):,} of {len(piles):,} piles with readings pass the filters."]
    if len(drawn) > group.MOST_LINES:
        lines.append(
            f"More than {group.MOST_LINES} profiles are not drawn singly: median, band and the "
            "chosen piles stand for them."
        )
    if held["group"].nunique() > len(shown):
        lines.append(f"Only {len(shown)} groups are drawn; choose an area and type for another.")
    if hidden := sorted(chosen - set(drawn["subject"]), key=filters.natural):
        named = group.few(hidden)
        lines.append(f"Chosen, but replaced, without readings or outside the filters: {named}.")
    if len(chosen) > group.MOST_BOLD:
        lines.append(f"Of the chosen piles the last {group.MOST_BOLD} are bold.")
    if filters.now().along == "level_m" and (unknown := data.without_level(view, drawn)):
        lines.append(f"{unknown:,} of them have no ground level or batter and so no line.")
    st.html(f"<div>{escape(' '.join(lines))}</div>")


def _figure(view: data.View, held: pd.DataFrame, shown: list[str], along: str, system: str) -> None:
    drawn = held[held["group"].isin(shown)]
    bold = group.bold_of(drawn)
    single = drawn["subject"] if len(drawn) <= group.MOST_LINES else drawn["subject"].iloc[:0]
    quiet = tuple(pile for pile in single if pile not in bold)
    figure = data.drawn(
        "torque by group",
        (view.key, along, system, tuple(shown), quiet, tuple(bold)),
        lambda: torque_area.torque_by_group(
            [_panel(view, name, drawn, (quiet, bold), along) for name in shown], along, system
        ),
    )
    group.choosing_chart(figure, "profiles", "Torque of the piles of " + ", ".join(shown))
    st.caption(
        "Grey band and median: every pile of the area and type, whatever the other filters say, "
        f"where at least {data.FEWEST_PILES} piles have readings that count and are in the "
        "calibrated range. Deep down it holds only the piles that had to go there. "
        "Click a line to choose its pile; on a touch screen choose in the list."
    )


def _panel(
    view: data.View,
    name: str,
    drawn: pd.DataFrame,
    parts: tuple[tuple[str, ...], list[str]],
    along: str,
) -> torque_area.Panel:
    own = drawn[drawn["group"] == name].set_index("subject", drop=False)
    quiet, bold = ([pile for pile in part if pile in own.index] for part in parts)
    return torque_area.Panel(
        name=f"{name} ({len(own):,})",
        quiet=data.profiles(view, quiet),
        chosen=data.profiles(view, bold),
        marks=own.loc[bold],
        band=data.band(view, name, along),
    )


main()
