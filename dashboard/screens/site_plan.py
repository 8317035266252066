"""Site plan: every pile where it stands, to scale; choose one and read its state beside it."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from core import units
from dashboard import data, filters, theme
from dashboard.literal import literal
from dashboard.screens import frame, plan_canvas


def main() -> None:
    """Draw the screen."""
    view = frame.open_view()
    system = frame.head(view)
    if frame.no_piles(view):
        return
    plan, beside = st.container(key="beside").columns([2.9, 1], gap="medium")
    with plan:
        plan_canvas.draw(view, system)
    with beside:
        _chosen(view, system)
        filters.pile_box(data.subjects(view), "Find a pile")
        with st.expander("Filter", expanded=True):
            filters.filter_boxes(data.options(view))
            _filtered(view)
    _unplaced(view)
    _list(view, system)
    frame.cautions()


def _unplaced(view: data.View) -> None:
    missing = data.unplaced(view)
    if missing:
        named = ", ".join(missing[:10]) + (" …" if len(missing) > 10 else "")
        st.markdown(f"Not on the plan, because no coordinates are recorded: **{literal(named)}**")


def _filtered(view: data.View) -> None:
    shown = filters.mask(data.piles(view))
    st.caption(f"{shown.sum():,} of {len(shown):,} piles pass the filters; the others are dimmed.")


def _chosen(view: data.View, system: str) -> None:
    chosen = filters.now()
    if not chosen.pile:
        st.markdown("**No pile chosen.** Click or tap one on the plan, or find it by its number.")
        return
    row = data.pile(view, chosen.pile)
    frame.pile_name(chosen.pile)
    if row is None:
        st.warning(f"The project holds no pile {literal(chosen.pile)} at this entry.")
        return
    frame.state_of(row["state"])
    frame.reasons(data.reasons(view, chosen.pile))
    st.markdown(
        f"{literal(row['stage'].capitalize())}. Final torque "
        f"{units.text(row['final_torque_nm'], 'final_torque_nm', system)}, required "
        f"{units.text(row['required_torque_nm'], 'required_torque_nm', system)}."
    )
    st.page_link("screens/pile.py", label=f"All about pile {literal(chosen.pile)}")
    if len(chosen.piles) > 1:
        _several(view)
    if filters.left_out():
        st.warning(
            f"The selection held {filters.left_out():,} more piles than the {filters.MOST_PILES} "
            "that can be chosen at once. Use the filters for larger groups."
        )


def _several(view: data.View) -> None:
    with st.container(horizontal=True, vertical_alignment="center"):
        st.markdown(f"**{len(filters.now().piles)} piles chosen**")
        st.button("Choose none", on_click=filters.choose, args=((),), key="choose_none")
    piles = data.piles(view)
    held = piles[piles["subject"].isin(filters.now().piles)]
    rows = pd.DataFrame({"Pile": held["subject"], "State": held["state"].map(theme.state_badge)})
    with st.container(height=220):
        frame.table(rows, marked=("State",))


def _list(view: data.View, system: str) -> None:
    with st.expander("List of piles (a second way to choose)", expanded=False):
        piles = data.piles(view)
        held = piles[filters.mask(piles)]
        columns = ["installed_mm", "final_torque_nm", "required_torque_nm", "max_torque_nm"]
        columns += ["plan_offset_mm", "offset_east_mm", "offset_north_mm", "axis_angle_deg"]
        rows = held[["subject", "state", "area", "pile_type", "rig", "stage"]].rename(
            columns={"subject": "pile", "pile_type": "type"}
        )
        st.dataframe(
            pd.concat([rows, units.shown(held[columns], system).round(2)], axis=1),
            hide_index=True,
            height=420,
            key=filters.key("list"),
            on_select=lambda: _picked(held["subject"].tolist()),
            selection_mode="multi-row",
            alt="Piles that pass the filters",
        )


def _picked(shown: list[str]) -> None:
    picked = st.session_state[filters.key("list")]["selection"]["rows"]
    filters.choose(shown[place] for place in picked)


main()
