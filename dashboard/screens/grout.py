"""Grout: where the column is thin, what was mixed and placed, results of the specimens."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from html import escape

import pandas as pd
import streamlit as st

from core import units
from dashboard import page, state, theme
from dashboard.charts import grout as charts
from dashboard.data import grout, views
from dashboard.literal import literal, literals

TAKE, STRENGTH, BATCHES, DAYS = PARTS = ("Take", "Strength", "Batches", "Sampling by day")
AXES = {word: name for name, word in charts.VIEWS.items()}
WHERE = {
    "cumulative_ratio": "Drawn at the depth that the toe had reached at the lift's end.",
    "take_ratio": "Drawn over the depths between which the toe went during the lift.",
    "net": "Drawn at each lift's end.",
}
CAUTION = (
    "A lift's volume is not the take at that depth: grout is fed at the top and drawn down, so "
    "loss or necking may be anywhere above. A ratio gives no information about the shape of the "
    "column."
)


def main() -> None:
    """Draw the screen."""
    view = page.open_view()
    system = page.head(view)
    if page.no_piles(view):
        return
    piles = grout.grouted_piles(view)
    if piles.empty:
        st.markdown("**No pile of this job is grouted.**")
        return
    part = _controls(view)
    held = piles[state.mask(piles) & state.run_mask(piles)]
    _summary(piles, held)
    if state.current_filters().piles:
        page.selected_pile_bar(view, "Open")
    if part == TAKE:
        _take(view, held, system)
    else:
        _samples_part(view, part, held, system)
    page.cautions()


def _controls(view: views.View) -> str:
    """Group, cap, pile and filters, and the part of the screen, which it returns."""
    with st.container(horizontal=True, vertical_alignment="bottom"):
        with st.container(width=260):
            state.group_box(grout.groups(view))
        with st.container(width=220):
            state.pile_box(views.subjects(view))
        if caps := grout.caps(view):
            with st.container(width=160):
                _cap_box(caps)
        page.filter_popover(view)
    return state.switch("part", PARTS, "Part")


def _cap_box(caps: Mapping[str, Sequence[str]]) -> None:
    """A box that selects the piles under a cap; ``caps`` gives them by the cap's name."""
    key, selected = state.key("cap"), set(state.current_filters().piles)
    held = [name for name, piles in caps.items() if selected == set(piles)]
    st.session_state[key] = held[0] if held else None
    st.selectbox(
        "Piles under cap",
        sorted(caps, key=state.natural),
        key=key,
        index=None,
        on_change=lambda: state.select(caps.get(st.session_state[key], ())),
        placeholder="select a cap",
    )


def _summary(piles: pd.DataFrame, held: pd.DataFrame) -> None:
    placed = held["lifts"].gt(0)
    lines = [f"{len(held):,} of {len(piles):,} grouted piles pass the filters, {placed.sum():,} "
             "with grout placed."]  # fmt: skip
    chosen = set(state.current_filters().piles)
    if bare := sorted(chosen - set(piles["subject"]), key=state.natural):
        lines.append(f"Selected, but not grouted: {page.shortened_list(bare)}.")
    if hidden := sorted(chosen & set(piles["subject"]) - set(held["subject"]), key=state.natural):
        lines.append(f"Selected, but outside the filters: {page.shortened_list(hidden)}.")
    st.html(f"<div>{escape(' '.join(lines))}</div>")


def _take(view: views.View, held: pd.DataFrame, system: str) -> None:
    placed = held[held["lifts"].gt(0)]
    if placed.empty:
        st.markdown(
            "**No grout placement of these piles is recorded yet.** Import the grout sheets on the "
            "Import page, with what was left, spilled and returned."
        )
        return
    _groups(view, placed, system)
    known = placed[placed["take_ratio"].notna() | placed["min_lift_ratio"].notna()]
    if known.empty:
        st.markdown("**No take ratio of these piles is known.** The list shows what is missing.")
    else:
        _figure(view, known, system)
        _minimum_takes(view, known)
    _pile_list(placed, system)


def _groups(view: views.View, placed: pd.DataFrame, system: str) -> None:
    rows = grout.grouting(view).groups
    rows = rows[rows["group"].isin(placed["group"])]
    ratios = {
        "take_ratio": "Take ratio",
        "min_cumulative_ratio": "Minimum cumulative",
        "min_lift_ratio": "Minimum of a lift",
    }
    table = pd.DataFrame({"Area and type": rows["group"], "Piles": rows["piles"]})
    table["With grout"] = rows["piles_placed"]
    table["Ratio not known"] = rows["piles_unknown"]
    for name, word in (("net_grout_l", "Net grout"), ("void_l", "Void")):
        table[word] = rows[name].map(lambda value, name=name: units.text(value, name, system))
    for name, word in ratios.items():
        table[word] = rows[name].map(lambda value, name=name: units.text(value, name, system))
    page.table(table, tuple(table.columns[1:]))


def _figure(view: views.View, known: pd.DataFrame, system: str) -> None:
    over = AXES[state.switch("x-axis", list(AXES), "Chart")]
    shown = page.panels_of(known)
    drawn = known[known["group"].isin(shown)]
    bold = page.bold_of(drawn)
    single = (
        drawn["subject"] if len(drawn) <= page.MOST_LINES else drawn.loc[drawn["named"], "subject"]
    )
    quiet = tuple(pile for pile in single[: page.MOST_LINES] if pile not in bold)
    figure = views.cached_figure(
        "grout by group",
        (view.key, over, system, tuple(shown), quiet, tuple(bold)),
        lambda: charts.take_by_group(
            [_panel(view, name, drawn, (quiet, bold)) for name in shown], over, system
        ),
    )
    page.selectable_chart(figure, "takes", "Grout take of the piles of " + ", ".join(shown))
    more = [
        WHERE[over],
        "Click a line to select its pile; on a touch screen use the list.",
    ]
    if len(drawn) > page.MOST_LINES:
        more.append(f"More than {page.MOST_LINES} piles: only outliers are drawn.")
    if known["group"].nunique() > len(shown):
        more.append(f"Only {len(shown)} groups are drawn; select an area and type to see another.")
    st.caption(literals(more, " "))
    page.cautions((CAUTION,))


def _panel(
    view: views.View, name: str, drawn: pd.DataFrame, parts: tuple[tuple[str, ...], list[str]]
) -> charts.Panel:
    own = drawn[drawn["group"] == name]
    quiet, bold = ([pile for pile in part if pile in set(own["subject"])] for part in parts)
    return charts.Panel(
        name=f"{name} ({len(own):,})",
        quiet=grout.lifts_of(view, quiet),
        bold=grout.lifts_of(view, bold),
        chosen=bold,
        limits=grout.limits_of(view, own["pile_type"]),
    )


def _minimum_takes(view: views.View, known: pd.DataFrame) -> None:
    st.subheader("Minimum take of each pile")
    chosen = [pile for pile in state.current_filters().piles if pile in set(known["subject"])]
    figure = views.cached_figure(
        "minimum takes",
        (view.key, tuple(known["subject"]), tuple(chosen)),
        lambda: charts.min_takes(known, grout.limits_of(view, known["pile_type"]), chosen),
    )
    page.selectable_chart(figure, "min_takes", "Minimum take of each pile, lowest first")
    st.caption(
        "Named: below the minimum, above the alarm, with a gap between lifts, or far outside the "
        "interquartile range of its area and type."
    )


MEANINGS = {
    "all": "Every pile with grout that passes the filters, the smallest margin first.",
    "below": "A take ratio below its minimum, the lowest first.",
    "barely": "The minimum is met, or none is set; the smallest margin first.",
    "unlike": "The lowest lift ratio is far outside the interquartile range of its area and type.",
    "alarm": "More grout than the alarm: lost into a void, or a miscount; the highest first.",
    "gap": "No lift is recorded in a stretch down to the toe that is wider than allowed.",
    "unknown": "Grout was placed, but its net volume or its void is not known; see the reason.",
}
# Heading of every column, in order.
HEADINGS = {
    "take_margin": "smallest margin",
    "min_cumulative_ratio": "minimum cumulative take",
    "lift_of_min_cumulative_ratio": "minimum cumulative at",
    "take_result": "cumulative take",
    "min_lift_ratio": "minimum take of a lift",
    "lift_of_min_ratio": "lift",
    "lift_result": "take of the lift",
    "thin_from_mm": "toe from",
    "thin_to_mm": "toe to",
    "thin_net_l": "net of the lift",
    "thin_void_l": "void of the lift",
    "thin_resolution_l": "resolution",
    "thin_step_ratio": "resolution as ratio",
    "take_ratio": "take of the pile",
    "net_grout_l": "net of the pile",
    "void_l": "void of the pile",
    "alarm_result": "alarm",
    "grouted_length_mm": "required grouted length",
    "lift_gap_mm": "widest gap between lifts",
    "gap_result": "lifts to the toe",
    "gap_note": "gap",
    "grout_missing": "reason not known",
    "take_note": "note",
}
TEXTS = (
    "lift_of_min_cumulative_ratio",
    "lift_of_min_ratio",
    "gap_note",
    "grout_missing",
    "take_note",
)


def _pile_list(placed: pd.DataFrame, system: str) -> None:
    """Draw the switch between lists, and the one picked; a ticked row selects its pile."""
    st.subheader("Piles")
    counts = grout.counts(placed)
    words = grout.LISTS | {n: f"{grout.LISTS[n]} ({count:,})" for n, count in counts.items()}
    name = state.list_switch(words, "Which piles")
    found = grout.listed(placed, name)
    st.caption(literal(MEANINGS[name]))
    if found.empty:
        st.markdown("**None.**")
        return
    shown = page.PileList(found, system)
    for column, heading in HEADINGS.items():
        if column.endswith("_result"):
            shown.result(column, heading)
        elif column in TEXTS:
            shown.rows[heading] = found[column]
        else:
            shown.number(column, heading, "%.2f", int(column.startswith("thin_")))
    shown.rows["area and type"] = found["group"]
    shown.day("placed_on", "placed on")
    shown.draw("take_list", "Piles with their lowest lift ratio and its minimum")


def _samples_part(view: views.View, part: str, held: pd.DataFrame, system: str) -> None:
    """Draw one part; ``held``: the grouted piles that pass the filters."""
    own = set(held["subject"]) if state.in_use() else None
    if part == STRENGTH:
        _strength(view, own, system)
    elif part == BATCHES:
        _batches(view, own, system)
    else:
        _days(view, system)


def _strength(view: views.View, own: set[str] | None, system: str) -> None:
    chosen = set(state.current_filters().piles)
    groups = grout.samples(view, own, chosen)
    if groups.empty:
        st.markdown("**No sample group is recorded yet** that represents these piles.")
        return
    specimens = grout.specimens(view, groups["sample_group_id"])
    limits, mine = grout.strength_limits(view), grout.groups_of(view, chosen)
    figure = views.cached_figure(
        "strength",
        (view.key, system, tuple(groups["sample_group_id"]), tuple(sorted(mine))),
        lambda: charts.strength_with_age(specimens, limits, mine, system),
    )
    st.plotly_chart(
        figure,
        key=state.key("strength"),
        config=page.PLAIN,
        alt="Strength of each tested specimen at its age",
    )
    st.caption(
        "A result before the required age decides nothing. One low group affects every pile that "
        "it represents."
    )
    if bare := grout.unsampled(view, chosen):
        st.markdown(f"**In no sample group:** {literals(bare)}.")
    st.subheader("Sample groups")
    rows, formats = _sample_rows(view, groups, system)
    names = groups["sample_group_id"]
    _ticked_list(rows, formats, lambda places: grout.group_piles(view, names.iloc[places]))


def _sample_rows(
    view: views.View, groups: pd.DataFrame, system: str
) -> tuple[pd.DataFrame, dict[str, object]]:
    unit = units.shown_unit("strength_mpa", system)
    formats: dict[str, object] = {
        "group": st.column_config.TextColumn(pinned=True),
        "results outstanding": st.column_config.TextColumn(width=260),
        "taken on": page.DAY,
    }
    rows = pd.DataFrame({"group": groups["sample_group_id"]})
    if groups["chosen"].any():
        rows["selected"] = groups["chosen"].map({True: "●", False: ""})
    rows["taken on"] = groups["taken_on"].dt.date
    rows["specimens"] = groups["specimens"]
    strengths = grout.strength_columns(view).reindex(groups["sample_group_id"])
    for age in strengths.columns:
        heading = f"minimum at {age:g} days [{unit.symbol}]"
        shown = units.shown_values(strengths[age], "strength_mpa", system)
        rows[heading] = shown.to_numpy(dtype=float)
        formats[heading] = st.column_config.NumberColumn(format=f"%.{unit.decimals}f")
    rows["results outstanding"] = groups["waits_for"]
    signs = groups["strength_result"].map(theme.RESULT_SIGNS).fillna("")
    rows["strength of its piles"] = (signs + " " + groups["strength_result"]).str.strip()
    rows["number of piles"] = groups["piles"]
    rows["piles"] = groups["pile_ids"]
    rows["batches"] = groups["batches"]
    return rows, formats


def _batches(view: views.View, own: set[str] | None, system: str) -> None:
    found = grout.batches(view, own)
    st.caption(literal(grout.batch_limits(view, system)))
    if found.empty:
        st.markdown("**No batch is recorded yet** for these piles.")
        return
    formats: dict[str, object] = {
        "batch": st.column_config.TextColumn(pinned=True),
        "mixed on": page.DAY,
    }
    rows = pd.DataFrame({"batch": found["batch_id"], "mixed on": found["mixed_on"].dt.date})
    for column, word in (
        ("density_kg_m3", "density"),
        ("flow_s", "flow"),
        ("batch_age_h", "maximum age when placed"),
        ("volume_l", "volume mixed"),
        ("batched_l", "batched for lifts"),
    ):
        unit = units.shown_unit(column, system)
        heading = f"{word} [{unit.symbol}]"
        rows[heading] = units.shown_values(found[column].astype(float), column, system)
        formats[heading] = st.column_config.NumberColumn(format=f"%.{unit.decimals}f")
    rows["number of piles"] = found["piles"]
    rows["piles"] = found["pile_ids"]
    rows["mix"] = found["mix"]
    _ticked_list(
        rows, formats, lambda places: grout.batch_piles(view, found["batch_id"].iloc[places])
    )


def _days(view: views.View, system: str) -> None:
    found = grout.sampled_days(view)
    st.caption(
        literal(grout.sampling_frequency(view)) + " All piles of the job; filters do not apply."
    )
    if found.empty:
        st.markdown("**No grout placement or specimen is recorded yet.**")
        return
    placed = found["piles"] > 0
    counts = {
        "Days with placements": placed.sum(),
        "Days with placements, no sample": (placed & found["groups"].eq(0)).sum(),
        "Piles with grout in no sample group": len(grout.unsampled(view)),
    }
    for cell, (label, number) in zip(st.columns(len(counts)), counts.items(), strict=True):
        cell.metric(literal(label), f"{number:,}", border=True, height="stretch")
    unit = units.shown_unit("batched_l", system)
    rows = pd.DataFrame(
        {
            "day": found["day"].dt.date,
            "weekday": found["day"].dt.strftime("%a"),
            "piles": found["piles"],
            "batches": found["batches"],
            f"batched [{unit.symbol}]": units.shown_values(found["batched_l"], "batched_l", system),
            "sample groups taken": found["group_ids"].mask(placed & found["groups"].eq(0), "none"),
            "specimens": found["specimens"],
            "piles in no group": found["without_group"],
            "which piles": found["pile_ids"],
        }
    )
    decimals = st.column_config.NumberColumn(format=f"%.{unit.decimals}f")
    formats = {f"batched [{unit.symbol}]": decimals, "day": page.DAY}
    _ticked_list(rows, formats, lambda places: grout.day_piles(view, found["day"].iloc[places]))


def _ticked_list(
    rows: pd.DataFrame,
    formats: dict[str, object],
    piles: Callable[[list[int]], list[str]],
) -> None:
    """A list whose ticked rows select the piles that ``piles`` gives for their places."""
    key = state.key(f"grout_{hash((rows.columns[0], *rows.iloc[:, 0]))}")

    def picked() -> None:
        ticked = st.session_state[key]["selection"]["rows"]
        state.select(piles([place for place in ticked if place < len(rows)]))

    st.dataframe(
        rows,
        hide_index=True,
        height=420 if len(rows) > page.FEW_ROWS else "auto",
        key=key,
        column_config=formats,
        placeholder="–",
        on_select=picked,
        selection_mode="multi-row",
        alt=f"Grout by {rows.columns[0]}",
    )
    st.caption("Tick a row to select its piles.")


main()
