"""The site plan's canvas: a component of our own, with pointer events that tell a tap's place.

The piles go to the browser once. What is chosen and filtered goes in a second, small message, so
that a click does not send the plan again and never loses zoom.
"""

from __future__ import annotations

from pathlib import Path

import streamlit as st

from core import units
from dashboard import state, theme
from dashboard.data import site_plan, views

FOLDER = Path(__file__).parent


def _text(*names: str) -> str:
    return "\n".join((FOLDER / name).read_text(encoding="utf-8") for name in names)


_canvas = st.components.v2.component(
    "pilewright_plan",
    js=_text("ground.js", "sheet.js", "hand.js", "plan.js"),  # a class on a class
    css=_text("plan.css"),
)
_marks = st.components.v2.component("pilewright_plan_marks", js=_text("marks.js"))


def draw(view: views.View, system: str, height: int = 640) -> None:
    """The plan with what is chosen and filtered; a choice on it changes the shared choice."""
    _canvas(
        key=state.key("plan"),
        data={"piles": site_plan.plan(view), "styles": theme.state_styles()},
        height=height,
        on_chosen_change=_choose,
    )
    held = state.current_filters()
    unit = units.shown_unit("easting_m", system)
    _marks(
        key=state.key("plan_marks"),
        data={
            "chosen": list(held.piles),
            "filters": {name: list(getattr(held, name)) for name in state.FILTERS},
            "scale": {"per_m": units.factor("m", unit.expression), "symbol": unit.symbol},
        },
        height="content",
    )


def _choose() -> None:
    event = st.session_state[state.key("plan")].chosen
    state.select(event["piles"], add=event["add"])
