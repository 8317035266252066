"""Grout: where the column is thin, what was mixed and placed, what the specimens said."""

from __future__ import annotations

from html import escape

import pandas as pd
import streamlit as st

from core import units
from dashboard import data, filters
from dashboard.charts import grout as charts
from dashboard.charts import grout_samples as point_charts
from dashboard.charts import take_lines
from dashboard.literal import literals
from dashboard.screens import frame, group, grout_list, grout_samples

PARTS = {"take": "Take", "strength": "Strength", "batches": "Batches", "days": "Sampling by day"}
WHERE = {
    "cumulative_ratio": "Drawn at the depth that the toe had reached at the lift's end.",
    "take_ratio": "Drawn over the depths between which the toe went during the lift.",
    "net": "Drawn at each lift's end.",
}
CAUTION = (
    "A lift's volume is not the take at that depth: grout is fed at the top and drawn down, so "
    "loss or necking may be anywhere above. A ratio says nothing about the shape of the column."
)


def main() -> None:
    """Draw the screen."""
    view = frame.open_view()
    system = frame.head(view)
    if frame.no_piles(view):
        return
    piles = data.grouted_piles(view)
    if piles.empty:
        st.markdown("**No pile of this job is grouted.**")
        return
    part = _choose(view)
    held = piles[filters.mask(piles) & filters.run_mask(piles)]
    _told(piles, held)
    if filters.now().piles:
        group.the_pile(view, "Torque and findings of")
    if part == "take":
        _take(view, held, system)
    else:
        grout_samples.draw(view, part, held, system)
    frame.cautions()


def _choose(view: data.View) -> str:
    """Group, cap, pile and filters, and the part of the screen, which it returns."""
    with st.container(horizontal=True, vertical_alignment="bottom"):
        with st.container(width=260):
            filters.group_box(data.grout_groups(view))
        with st.container(width=220):
            filters.pile_box(data.subjects(view))
        if caps := data.caps(view):
            with st.container(width=160):
                filters.cap_box(caps)
        group.filter_popover(view)
    return filters.switch("part", PARTS, "Part")


def _told(piles: pd.DataFrame, held: pd.DataFrame) -> None:
    placed = held["lifts"].gt(0)
    lines = [f"{len(held):,} of {len(piles):,} grouted piles pass the filters, {placed.sum():,} "
             "with grout placed."]  # fmt: skip
    chosen = set(filters.now().piles)
    if bare := sorted(chosen - set(piles["subject"]), key=filters.natural):
        lines.append(f"Chosen, but not grouted: {group.few(bare)}.")
    if hidden := sorted(chosen & set(piles["subject"]) - set(held["subject"]), key=filters.natural):
        lines.append(f"Chosen, but outside the filters: {group.few(hidden)}.")
    st.html(f"<div>{escape(' '.join(lines))}</div>")


def _take(view: data.View, held: pd.DataFrame, system: str) -> None:
    placed = held[held["lifts"].gt(0)]
    if placed.empty:
        st.markdown(
            "**No grout placement of these piles is recorded yet.** Take the grout sheets in on "
            "the Intake page, with what was left, spilled and returned."
        )
        return
    _groups(view, placed, system)
    known = placed[placed["take_ratio"].notna() | placed["min_lift_ratio"].notna()]
    if known.empty:
        st.markdown("**No take ratio of these piles is known.** The list says what is missing.")
    else:
        _figure(view, known, system)
        _least(view, known)
    grout_list.draw(placed, system)


def _groups(view: data.View, placed: pd.DataFrame, system: str) -> None:
    rows = data.grouting(view).groups
    rows = rows[rows["group"].isin(placed["group"])]
    ratios = {
        "take_ratio": "Take ratio",
        "min_cumulative_ratio": "Least cumulative",
        "min_lift_ratio": "Least of a lift",
    }
    table = pd.DataFrame({"Area and type": rows["group"], "Piles": rows["piles"]})
    table["With grout"] = rows["piles_placed"]
    table["Ratio not known"] = rows["piles_unknown"]
    for name, word in (("net_grout_l", "Net grout"), ("void_l", "Void")):
        table[word] = rows[name].map(lambda value, name=name: units.text(value, name, system))
    for name, word in ratios.items():
        table[word] = rows[name].map(lambda value, name=name: units.text(value, name, system))
    frame.table(table, tuple(table.columns[1:]))


def _figure(view: data.View, known: pd.DataFrame, system: str) -> None:
    over = filters.switch("over", take_lines.VIEWS, "What is drawn")
    shown = group.panels_of(known)
    drawn = known[known["group"].isin(shown)]
    bold = group.bold_of(drawn)
    single = (
        drawn["subject"] if len(drawn) <= group.MOST_LINES else drawn.loc[drawn["named"], "subject"]
    )
    quiet = tuple(pile for pile in single[: group.MOST_LINES] if pile not in bold)
    figure = data.drawn(
        "grout by group",
        (view.key, over, system, tuple(shown), quiet, tuple(bold)),
        lambda: charts.take_by_group(
            [_panel(view, name, drawn, (quiet, bold)) for name in shown], over, system
        ),
    )
    group.choosing_chart(figure, "takes", "Grout take of the piles of " + ", ".join(shown))
    more = [
        WHERE[over],
        "Click a line to choose its pile; on a touch screen choose in the list.",
    ]
    if len(drawn) > group.MOST_LINES:
        more.append(f"More than {group.MOST_LINES} piles: only those that stand out are drawn.")
    if known["group"].nunique() > len(shown):
        more.append(f"Only {len(shown)} groups are drawn; choose an area and type for another.")
    st.caption(literals(more, " "))
    frame.cautions((CAUTION,))


def _panel(
    view: data.View, name: str, drawn: pd.DataFrame, parts: tuple[tuple[str, ...], list[str]]
) -> charts.Panel:
    own = drawn[drawn["group"] == name]
    quiet, bold = ([pile for pile in part if pile in set(own["subject"])] for part in parts)
    return charts.Panel(
        name=f"{name} ({len(own):,})",
        quiet=data.lifts_of(view, quiet),
        bold=data.lifts_of(view, bold),
        chosen=bold,
        limits=data.limits_of(view, own["pile_type"]),
    )


def _least(view: data.View, known: pd.DataFrame) -> None:
    st.subheader("Least take of each pile")
    chosen = [pile for pile in filters.now().piles if pile in set(known["subject"])]
    figure = data.drawn(
        "least takes",
        (view.key, tuple(known["subject"]), tuple(chosen)),
        lambda: point_charts.min_takes(known, data.limits_of(view, known["pile_type"]), chosen),
    )
    group.choosing_chart(figure, "min_takes", "Least take of each pile, the thinnest first")
    st.caption(
        "Named: below what is asked, above the alarm, with a gap between lifts, or far outside the "
        "middle half of its own area and type."
    )


main()
