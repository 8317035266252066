"""The six resistances that limit a helical pile, side by side: for information alone."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite, nan

import pandas as pd

from core import units
from core.compute.measures.bearing import SIX, least_of
from core.flow.worksheet import bearing
from core.flow.worksheet.known import Known
from core.flow.worksheet.steps import (
    Input,
    InputValue,
    Step,
    lowered,
    of_settings,
    result_of,
    word_of,
)

SUBJECT = "resistance, for information"
UNKNOWN = InputValue(nan)
TITLE = "Least of the six resistances"
SOURCE = (
    "IBC 1810.3.3.1.9: the ultimate load of a helical pile is the least of six; of the six the "
    "first words are read, the list is from memory."
)


def steps(known: Known, made: Sequence[Step]) -> list[Step]:
    """The least of what is known of the six, what is not known, and the project's own clause.

    ``made``: the steps of the other parts, which give bearing and torque-derived resistance.
    """
    if pd.isna(known.row["pile_type"]) or known.runs.empty:
        return []
    six = {name: given for name, given in _six(known, made).items() if isfinite(given.value)}
    if not six:
        return []
    values = {name: [six[name].value if name in six else float("nan")] for name in SIX}
    found = least_of(pd.DataFrame(values)).iloc[0]
    puts = tuple(
        Input(f"P{lowered(place)}", SIX[name], given.value, "kN", given.origin, given.source)
        for place, (name, given) in enumerate(six.items(), start=1)
    )
    return [Step(SUBJECT, TITLE, "Pu = least of P₁ … Pₙ", puts, float(found["least"]), "kN",
                 SOURCE, note=_note(known, found))]  # fmt: skip


def _six(known: Known, made: Sequence[Step]) -> dict[str, InputValue]:
    row, kind = known.row, known.pile_type
    tables = known.assessment.project.tables
    section, helices = tables.sections[kind.section], tables.helix_sets[kind.helix_set]
    of_section, of_helices = f"sections.{kind.section}.", f"helix_sets.{kind.helix_set}."
    return {
        "helix_bearing_kn": _result(made, bearing.ALONE),
        "torque_correlation_kn": _result(made, word_of("resistance_kn")),
        "load_test_kn": UNKNOWN,
        "shaft_kn": of_settings(row["shaft_kn"], of_section + section.as_entered("ultimate_kn")),
        "coupling_kn": of_settings(
            row["coupling_kn"], of_section + section.as_entered("coupling_ultimate_kn")
        ),
        "helix_plates_kn": of_settings(
            row["helix_plates_kn"], of_helices + helices.as_entered("ultimate_kn")
        ),
    }


def _result(made: Sequence[Step], title: str) -> InputValue:
    return next((result_of(step) for step in made if step.title == title), UNKNOWN)


def _note(known: Known, found: pd.Series) -> str:
    told = [f"governed by: {SIX[found['governed_by']]}"]
    if found["unknown"]:
        told.append("not known: " + ", ".join(SIX[name] for name in found["unknown"]))
    return "; ".join([*told, *_own_clause(known)])


def _own_clause(known: Known) -> list[str]:
    """What the project itself asks instead: its criterion of torque and its safety factor."""
    row, project = known.row, known.assessment.project
    asked = project.criteria("required_torque").set_index("pile_type").loc[row["pile_type"]]
    told = []
    if asked["criterion_status"] == "set":
        told.append(f"the project asks for its required torque by {asked['clause']}")
    factors = project.safety_factors.frame()
    own = factors[factors["direction"].eq(row["factor_direction"])]
    own = own[own["nature"].eq(row["load_nature"])]
    for _, factor in own.iterrows():
        least = units.text(_asked_load(row, factor), "load_kn", "SI")
        told.append(f"safety factor {factor['value']:g} by {factor['clause']} asks for {least}")
    return told


def _asked_load(row: pd.Series, factor: pd.Series) -> float:
    """Ultimate load [kN] that a service load and its safety factor ask for; NaN otherwise."""
    service = row["load_basis"] == "service" and pd.notna(row["load_kn"])
    return float(row["load_kn"] * factor["value"]) if service else float("nan")
