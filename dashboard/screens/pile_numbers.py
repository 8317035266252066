"""The numbers of one pile by subject, and the torque-derived resistance with its basis."""

from __future__ import annotations

from html import escape

import pandas as pd
import streamlit as st

from core import records, units
from core.words import CAUTIONS
from dashboard import data
from dashboard.literal import literal
from dashboard.screens import frame


def show(view: data.View, row: pd.Series, system: str) -> None:
    """Draw the measures of torque and the torque-derived resistance with its caution."""
    st.subheader("Numbers")
    if pd.notna(row["window_mm"]):
        length = data.final_window(view, row["pile_type"], system)
        st.markdown(
            f"Final torque is the {literal(row['window_rule'])} over the final window, the last "
            f"{literal(length)} above the toe."
        )
    rows = _measures(row, "torque", system)
    half = (len(rows) + 1) // 2
    sides = st.container(key="beside_numbers").columns(2, gap="large")
    for side, part in zip(sides, (rows[:half], rows[half:]), strict=True):
        if len(part):
            with side:
                frame.table(part, ("Value",))
    _required(row, system)
    _resistance(view, row, system)


def _required(row: pd.Series, system: str) -> None:
    """Which required torque governs, beside what is printed and what each load needs."""
    if pd.isna(row["required_by"]):
        return
    parts = [("printed on the schedule", "printed_torque_nm")]
    parts += [
        (f"the load in {direction} needs", f"{direction}_torque_nm")
        for direction in ("compression", "tension")
    ]
    told = [
        f"{word} {units.text(row[name], 'required_torque_nm', system)}"
        for word, name in parts
        if pd.notna(row[name])
    ]
    value = units.text(row["required_torque_nm"], "required_torque_nm", system)
    by = row["required_by"].replace("its clause", str(row["printed_governs"]))
    st.html(
        f'<div class="pw-table"><b>Required torque</b>: {escape(value)}, {escape(by)}'
        f"<br><small>{escape('; '.join(told))}</small></div>"
    )


def table(row: pd.Series, subject: str, system: str) -> None:
    """Draw the measures of one subject; nothing when the pile has no value of any."""
    rows = _measures(row, subject, system)
    if len(rows):
        frame.table(rows, ("Value",))


def _measures(row: pd.Series, subject: str, system: str) -> pd.DataFrame:
    """One row per measure of ``subject``; none when the pile has no value of any."""
    kept = [m for m in records.MEASURES if m.subject == subject and m.name != "resistance_kn"]
    if row[[measure.name for measure in kept]].isna().all():
        kept = []
    return pd.DataFrame(
        {
            "Measure": [measure.word[0].upper() + measure.word[1:] for measure in kept],
            "Value": [_value(row, measure, system) for measure in kept],
        }
    )


def _value(row: pd.Series, measure: records.Measure, system: str) -> str:
    value = row[measure.name]
    if pd.isna(value) and measure.name.startswith("design_"):
        return "–"  # a blank load is no load
    if pd.isna(value) and row["runs"] > 0 and measure.subject == "torque":
        return "no value"  # readings exist; the findings say why they give none
    return units.text(value, measure.name, system)


def _resistance(view: data.View, row: pd.Series, system: str) -> None:
    value = row["resistance_kn"]
    if pd.isna(value):
        return
    text = escape(units.text(value, "resistance_kn", system))
    found = data.findings(view, row["subject"])
    rating = set(found.loc[found["kind"].eq("rated torque"), "result"])
    if row["over_structural"]:
        least = escape(units.text(row["structural_kn"], "structural_kn", system))
        part = f"the {row['structural_by']} bears no more than {least}"
        text = f'<s class="pw-struck">{text}</s> {part}'
    elif "not met" in rating:
        text = f'<s class="pw-struck">{text}</s> torque went over the rating of the string'
    elif "met" not in rating:
        text += " (the torque rating is not shown to hold: not to be used alone)"
    factor = escape(units.text(row["torque_factor_per_m"], "torque_factor_per_m", system))
    source = escape(row["torque_factor_source"])
    st.html(
        f'<div class="pw-table"><b>Torque-derived resistance</b>, ultimate, '
        f"in {row['factor_direction']}: {text}"
        f"<br><small>final torque × torque factor Kt {factor}; source of Kt: {source}</small></div>"
    )
    frame.cautions(CAUTIONS[1:2])
