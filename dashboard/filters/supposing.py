"""Widgets that put a supposition into words; the sentence is a choice like others."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import streamlit as st

from core import units
from dashboard.filters.choices import change, now
from dashboard.literal import literal

GAUGE, FACTOR, LOADS, REVISION = (
    "a gauge that read wrong",
    "another torque factor",
    "another load",
    "another revision in force",
)


def suppose_box(gauges: Sequence, factors: Sequence, revisions: Sequence[str], system: str) -> None:
    """Boxes for one supposition, and the button that judges on it.

    ``gauges``: rows with instrument_id, first and last; ``factors``: rows with id and
    torque_factor_per_m, asked for in the units of ``system``.
    """
    kinds = [
        kind
        for kind, some in ((GAUGE, gauges), (FACTOR, factors), (LOADS, True), (REVISION, revisions))
        if some
    ]
    with st.container(horizontal=True, vertical_alignment="bottom"):
        kind = st.selectbox("Suppose that there is", kinds, key="suppose_kind", width=260)
        sentence = {
            GAUGE: lambda: _gauge(gauges),
            FACTOR: lambda: _factor(factors, system),
            LOADS: _loads,
            REVISION: lambda: _revision(revisions),
        }[kind]()
        st.button("Judge on this", key="suppose", on_click=_take, args=(sentence,))
        if now().suppose:
            st.button("As things stand", key="suppose_nothing", on_click=_take, args=("",))


def _take(sentence: str) -> None:
    change(suppose=sentence)


def _gauge(gauges: Sequence) -> str:
    by_id = {row.instrument_id: row for row in gauges}
    chosen = by_id[st.selectbox("Instrument", list(by_id), key="suppose_gauge", width=160)]
    share = st.number_input(
        "It read high by, % (low: below zero)",
        -50.0,
        50.0,
        5.0,
        0.5,
        key="suppose_share",
        width=220,
    )
    days = st.date_input(
        "From and to",
        (chosen.first.date(), chosen.last.date()),
        key=f"suppose_days_{chosen.instrument_id}",
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
    chosen = st.selectbox("Torque factor", list(by_id), key="suppose_factor", width=160)
    value = st.number_input(
        f"Kt [{literal(unit)}]",
        0.1,
        200.0,
        round(by_id[chosen] * units.factor("1/m", shown.expression), 2),
        0.5,
        key=f"suppose_value_{chosen}_{system}",
        width=160,
    )
    return f"torque factor {chosen} = {value:g} {unit}"


def _loads() -> str:
    factor = st.number_input(
        "All loads times", 0.1, 10.0, 1.1, 0.05, key="suppose_loads", width=160
    )
    return f"loads x {factor:g}"


def _revision(revisions: Sequence[str]) -> str:
    chosen = st.selectbox("Revision", list(revisions), key="suppose_revision", width=160)
    return f"revision {chosen} in force"
