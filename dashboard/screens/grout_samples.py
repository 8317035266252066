"""Parts of the Grout screen about the grout itself: strength with age, batches, sampling."""

from __future__ import annotations

from collections.abc import Callable

import pandas as pd
import streamlit as st

from core import units
from dashboard import data, filters, theme
from dashboard.charts import grout_samples as charts
from dashboard.literal import literal, literals
from dashboard.screens import frame

FEW_ROWS = 10


def draw(view: data.View, part: str, held: pd.DataFrame, system: str) -> None:
    """Draw one part; ``held``: the grouted piles that pass the filters."""
    own = set(held["subject"]) if filters.in_use() else None
    if part == "strength":
        _strength(view, own, system)
    elif part == "batches":
        _batches(view, own, system)
    else:
        _days(view, system)


def _strength(view: data.View, own: set[str] | None, system: str) -> None:
    chosen = set(filters.now().piles)
    groups = data.samples(view, own, chosen)
    if groups.empty:
        st.markdown("**No sample group is recorded yet** that stands for these piles.")
        return
    specimens = data.specimens(view, groups["sample_group_id"])
    asked, mine = data.strengths_asked(view), data.groups_of(view, chosen)
    figure = data.drawn(
        "strength",
        (view.key, system, tuple(groups["sample_group_id"]), tuple(sorted(mine))),
        lambda: charts.strength_with_age(specimens, asked, mine, system),
    )
    st.plotly_chart(
        figure,
        key=filters.key("strength"),
        config=frame.PLAIN,
        alt="Strength of each tested specimen at its age",
    )
    st.caption(
        "A result at an earlier age than asked decides nothing. One low group touches every pile "
        "that it stands for."
    )
    if bare := data.unsampled(view, chosen):
        st.markdown(f"**In no sample group:** {literals(bare)}.")
    st.subheader("Sample groups")
    rows, formats = _samples(view, groups, system)
    names = groups["sample_group_id"]
    _list(rows, formats, lambda places: data.group_piles(view, names.iloc[places]))


def _samples(
    view: data.View, groups: pd.DataFrame, system: str
) -> tuple[pd.DataFrame, dict[str, object]]:
    unit = units.shown_unit("strength_mpa", system)
    formats: dict[str, object] = {
        "group": st.column_config.TextColumn(pinned=True),
        "results not in": st.column_config.TextColumn(width=230),
    }
    rows = pd.DataFrame({"group": groups["sample_group_id"]})
    if groups["chosen"].any():
        rows["chosen"] = groups["chosen"].map({True: "●", False: ""})
    rows["taken on"] = groups["taken_on"].dt.date
    rows["specimens"] = groups["specimens"]
    strengths = data.strength_columns(view).reindex(groups["sample_group_id"])
    for age in strengths.columns:
        heading = f"least at {age:g} days [{unit.symbol}]"
        shown = units.shown_values(strengths[age], "strength_mpa", system)
        rows[heading] = shown.to_numpy(dtype=float)
        formats[heading] = st.column_config.NumberColumn(format=f"%.{unit.decimals}f")
    rows["results not in"] = groups["waits_for"]
    signs = groups["strength_result"].map(theme.RESULT_SIGNS).fillna("")
    rows["strength of its piles is"] = (signs + " " + groups["strength_result"]).str.strip()
    rows["number of piles"] = groups["piles"]
    rows["piles"] = groups["pile_ids"]
    rows["batches"] = groups["batches"]
    return rows, formats


def _batches(view: data.View, own: set[str] | None, system: str) -> None:
    found = data.batches(view, own)
    st.caption(literal(data.asked_of_batches(view, system)))
    if found.empty:
        st.markdown("**No batch is recorded yet** that went into these piles.")
        return
    formats: dict[str, object] = {"batch": st.column_config.TextColumn(pinned=True)}
    rows = pd.DataFrame({"batch": found["batch_id"], "mixed on": found["mixed_on"].dt.date})
    for column, word in (
        ("density_kg_m3", "density"),
        ("flow_s", "flow"),
        ("batch_age_h", "oldest when placed"),
        ("volume_l", "volume mixed"),
        ("batched_l", "batched for lifts"),
    ):
        unit = units.shown_unit(column, system)
        heading = f"{word} [{unit.symbol}]"
        rows[heading] = units.shown_values(found[column].astype(float), column, system)
        formats[heading] = st.column_config.NumberColumn(format=f"%.{unit.decimals}f")
    rows["number of piles"] = found["piles"]
    rows["piles"] = found["pile_ids"]
    rows["mix"] = found["mix"].astype("str").fillna("")
    _list(rows, formats, lambda places: data.batch_piles(view, found["batch_id"].iloc[places]))


def _days(view: data.View, system: str) -> None:
    found = data.sampled_days(view)
    st.caption(
        literal(data.asked_of_samples(view)) + " Every pile of the job, whatever the filters say."
    )
    if found.empty:
        st.markdown("**No grout placement or specimen is recorded yet.**")
        return
    placed = found["piles"] > 0
    counts = {
        "Days with placements": placed.sum(),
        "Days with placements, no sample": (placed & found["groups"].eq(0)).sum(),
        "Piles with grout in no sample group": len(data.unsampled(view)),
    }
    for cell, (label, number) in zip(st.columns(len(counts)), counts.items(), strict=True):
        cell.metric(literal(label), f"{number:,}", border=True, height="stretch")
    unit = units.shown_unit("batched_l", system)
    rows = pd.DataFrame(
        {
            "day": found["day"].dt.strftime("%Y-%m-%d %a"),
            "piles": found["piles"],
            "batches": found["batches"],
            f"batched [{unit.symbol}]": units.shown_values(found["batched_l"], "batched_l", system),
            "sample groups taken": found["group_ids"].mask(
                placed & found["groups"].eq(0), "none taken"
            ),
            "specimens": found["specimens"],
            "piles in no group": found["without_group"],
            "which piles": found["pile_ids"],
        }
    )
    formats = {f"batched [{unit.symbol}]": st.column_config.NumberColumn(format="%.0f")}
    _list(rows, formats, lambda places: data.day_piles(view, found["day"].iloc[places]))


def _list(
    rows: pd.DataFrame,
    formats: dict[str, object],
    piles: Callable[[list[int]], list[str]],
) -> None:
    """A list whose ticked rows choose the piles that ``piles`` gives for their places."""
    key = filters.key(f"grout_{hash((rows.columns[0], *rows.iloc[:, 0]))}")

    def picked() -> None:
        ticked = st.session_state[key]["selection"]["rows"]
        filters.choose(piles([place for place in ticked if place < len(rows)]))

    st.dataframe(
        rows,
        hide_index=True,
        height=420 if len(rows) > FEW_ROWS else "auto",
        key=key,
        column_config=formats,
        placeholder="no value",
        on_select=picked,
        selection_mode="multi-row",
        alt=f"Grout by {rows.columns[0]}",
    )
    st.caption("Tick a row to choose its piles.")
