"""Site plan: every pile in its place, to scale; choose one and read its state beside it."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from core import units
from dashboard import page, plan, state, theme
from dashboard.data import pile, site_plan, views
from dashboard.literal import literal


def main() -> None:
    """Draw the screen."""
    view = page.open_view()
    system = page.head(view)
    if page.no_piles(view):
        return
    left, right = st.container(key="beside").columns([2.9, 1], gap="medium")
    with left:
        plan.draw(view, system)
    with right:
        _chosen(view, system)
        state.pile_box(views.subjects(view), "Find a pile")
        with st.expander("Filter", expanded=True):
            state.filter_widgets(views.options(view))
            _filtered(view)
    _unplaced(view)
    _list(view, system)
    page.cautions()


def _unplaced(view: views.View) -> None:
    missing = site_plan.unplaced(view)
    if missing:
        named = ", ".join(missing[:10]) + (" …" if len(missing) > 10 else "")
        st.markdown(f"Not on the plan, because no coordinates are recorded: **{literal(named)}**")


def _filtered(view: views.View) -> None:
    shown = state.mask(views.piles(view))
    st.caption(f"{shown.sum():,} of {len(shown):,} piles pass the filters; the others are dimmed.")


def _chosen(view: views.View, system: str) -> None:
    chosen = state.current_filters()
    if not chosen.pile:
        st.markdown("**No pile selected.** Click or tap one on the plan, or find it by its number.")
        return
    row = pile.row(view, chosen.pile)
    page.pile_name(chosen.pile)
    if row is None:
        st.warning(f"There is no pile {literal(chosen.pile)} at this entry.")
        return
    page.state_of(row["state"])
    page.reasons(pile.reasons(view, chosen.pile))
    st.markdown(
        f"{literal(row['stage'].capitalize())}. Final torque "
        f"{units.text(row['final_torque_nm'], 'final_torque_nm', system)}, required "
        f"{units.text(row['required_torque_nm'], 'required_torque_nm', system)}."
    )
    st.page_link("screens/pile.py", label=f"Open pile {literal(chosen.pile)}")
    if len(chosen.piles) > 1:
        _several(view)
    if state.left_out():
        st.warning(
            f"The selection held {state.left_out():,} more piles than the {state.MAX_PILES} "
            "that can be selected at once. Use the filters for larger groups."
        )


def _several(view: views.View) -> None:
    with st.container(horizontal=True, vertical_alignment="center"):
        st.markdown(f"**{len(state.current_filters().piles)} piles selected**")
        page.clear_selection()
    piles = views.piles(view)
    held = piles[piles["subject"].isin(state.current_filters().piles)]
    rows = pd.DataFrame({"Pile": held["subject"], "State": held["state"].map(theme.state_badge)})
    with st.container(height=220):
        page.table(rows, marked=("State",))


def _list(view: views.View, system: str) -> None:
    with st.expander("List of piles", expanded=False):
        piles = views.piles(view)
        held = piles[state.mask(piles)]
        columns = ["installed_mm", "final_torque_nm", "required_torque_nm", "max_torque_nm"]
        columns += ["plan_offset_mm", "offset_east_mm", "offset_north_mm", "axis_angle_deg"]
        rows = held[["subject", "state", "area", "pile_type", "rig", "stage"]].rename(
            columns={"subject": "pile", "pile_type": "type"}
        )
        st.dataframe(
            pd.concat([rows, units.shown(held[columns], system).round(2)], axis=1),
            hide_index=True,
            height=420,
            key=state.key("plan_list"),
            on_select=lambda: _picked(held["subject"].tolist()),
            selection_mode="multi-row",
            placeholder="–",
            alt="Piles that pass the filters",
        )


def _picked(shown: list[str]) -> None:
    picked = st.session_state[state.key("plan_list")]["selection"]["rows"]
    state.select(shown[place] for place in picked)


main()
