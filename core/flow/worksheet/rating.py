"""The step of the rated torque: the least of what schedule, section and components allow."""

from __future__ import annotations

import pandas as pd

from core.flow.worksheet.known import Known
from core.flow.worksheet.steps import (
    Input,
    InputValue,
    Step,
    assumed,
    lowered,
    of_settings,
    word_of,
)


def rating(known: Known) -> list[Step]:
    """The least rating with all that were looked at; nothing when there is none."""
    row = known.row
    if pd.isna(row["rated_torque_nm"]):
        return []
    component = InputValue(
        float(row["component_rated_torque_nm"]), source=f"stamp {row['component_rated_stamp']}"
    )
    given = {
        "rating on the schedule": known.of_schedule("schedule_rated_torque_nm"),
        f"rating of the section, {row['section_rated_document'] or 'no document'}": _of_section(
            known
        ),
        "least rating of the components placed": component,
    }
    kept = {says: one for says, one in given.items() if pd.notna(one.value)}
    puts = tuple(
        Input(f"R{lowered(place)}", says, one.value, "N·m", one.origin, one.source)
        for place, (says, one) in enumerate(kept.items(), start=1)
    )
    value = min(put.value for put in puts)
    source = "the weakest part of the string governs"
    return [
        Step("torque", word_of("rated_torque_nm"), "R = least of R₁ … Rₙ", puts, value, "N·m",
             source, "rated_torque_nm")
    ]  # fmt: skip


def _of_section(known: Known) -> InputValue:
    """The rating of the pile's section; unknown for a type that project.toml does not have."""
    name = known.row["section"]
    if pd.isna(name):
        return assumed(float("nan"), "no section")
    section = known.assessment.project.tables.sections[name]
    key = f"sections.{name}.{section.as_entered('rated_torque_nm')}"
    return of_settings(known.row["section_rated_torque_nm"], key)
