"""Steps of torque: what the readings give, and what loads, factors and ratings require."""

from __future__ import annotations

from dataclasses import replace
from math import isfinite

import pandas as pd

from core import units
from core.compute import torque as formulas
from core.flow.measuring.torque import inputs
from core.flow.worksheet.known import Known
from core.flow.worksheet.rating import rating
from core.flow.worksheet.steps import (
    Input,
    InputValue,
    Step,
    of_settings,
    recorded,
    result_of,
    shown_as,
    without_value,
    word_of,
    worked,
)
from core.records.current_rows import CurrentRows
from core.subjects.columns import Book
from core.subjects.described import described
from core.subjects.piles.factors import DIRECTIONS
from core.subjects.torque import PILE_COLUMNS, tables

SUBJECT = "torque"


def steps(known: Known) -> list[Step]:
    """Every step of torque that the pile's records allow."""
    made = [*_measured(known), *_no_mean(known)]
    return [
        *made,
        *_loads(known),
        *_factor(known),
        *_asked(known, made),
        *rating(known),
    ]


def _measured(known: Known) -> list[Step]:
    """What the readings give, and how well the final torque is known."""
    assessment, pile_id = known.assessment, str(known.row["pile_id"])
    own = assessment.piles.loc[assessment.piles["pile_id"].eq(pile_id), list(PILE_COLUMNS)]
    pile = CurrentRows.of_frame(own)
    found = tables(inputs(assessment.snapshot, pile, of=pile_id), traced=True)
    book = Book(assessment.project.as_entered)
    made = found.pile.steps(book)
    if found.uncertainty.final_uncertainty_nm.known.any():
        book.value(found.uncertainty.final_uncertainty_nm, 0)
    return made


def _no_mean(known: Known) -> list[Step]:
    """Why a pile with a run has no final torque, in the words of its finding."""
    if pd.notna(known.row["final_torque_nm"]):
        return []
    found = known.assessment.findings
    own = found[found["pile_id"].eq(known.row["pile_id"]) & found["kind"].eq("required torque")]
    why = own["note"].iloc[0] if len(own) and known.row["runs"] > 0 else ""
    return [without_value(SUBJECT, "final_torque_nm", formulas.final_torque, why)] if why else []


def _loads(known: Known) -> list[Step]:
    """The design loads of the schedule, with their basis and nature."""
    row = known.row
    named = [name for name in ("design_compression_kn", "design_tension_kn") if pd.notna(row[name])]
    kind = [row[name] for name in ("load_basis", "load_nature") if pd.notna(row[name])]
    source = ", ".join(["the schedule", *kind])
    return [recorded(SUBJECT, name, known.of_schedule(name), "kN", source) for name in named]


def _factor(known: Known) -> list[Step]:
    """The torque factor that fits the pile's case, as the settings give it."""
    row = known.row
    if pd.isna(row["torque_factor_per_m"]):
        return []
    given = _factor_of(known, "torque_factor")
    source = f"{row['torque_factor_source']}; for {row['factor_direction']}"
    return [recorded(SUBJECT, "torque_factor_per_m", given, "1/m", source)]


def _factor_of(known: Known, name: str) -> InputValue:
    """The torque factor ``name`` of the pile's row, as the settings give it."""
    row_id = known.row[f"{name}_id"]
    rows = known.assessment.project.tables.torque_factors
    converted = [f": {row.value:g} {row.unit}" for row in rows if row.unit != "1/m"
                 and row.id == row_id]  # fmt: skip
    return of_settings(
        known.row[f"{name}_per_m"], "".join([f"torque_factors, {row_id}", *converted])
    )


def _asked(known: Known, made: list[Step]) -> list[Step]:
    """What the load of each direction needs, what governs, and what the final torque implies."""
    found = _computed(known)
    if pd.notna(known.row["required_torque_nm"]):
        found = _required(known, found)
    final = next((step for step in made if step.measure == "final_torque_nm"), None)
    if final is not None and isfinite(final.value) and pd.notna(known.row["torque_factor_per_m"]):
        implied = worked(
            SUBJECT,
            word_of("resistance_kn"),
            formulas.resistance,
            torque_nm=result_of(final),
            torque_factor_per_m=_factor_of(known, "torque_factor"),
        )
        found.append(shown_as(implied, "resistance_kn", units.factor("N", "kN"), "kN"))
    return found


def _computed(known: Known) -> list[Step]:
    """The torque that the load of each direction needs, where its factors are known."""
    row, steps = known.row, []
    for direction in DIRECTIONS:
        if pd.isna(row[f"{direction}_torque_nm"]):
            continue
        load = known.of_schedule(f"design_{direction}_kn")
        step = worked(
            SUBJECT,
            f"Torque that the load in {direction} needs",
            formulas.required_torque,
            load_n=replace(load, value=load.value * units.factor("kN", "N")),
            safety_factor=of_settings(
                row[f"{direction}_safety_factor"],
                f"safety_factors, {direction}, {row['load_nature']}",
            ),
            torque_factor_per_m=_factor_of(known, f"{direction}_torque_factor"),
        )
        steps.append(step)
    return steps


def _required(known: Known, computed: list[Step]) -> list[Step]:
    """``computed`` and the required torque, printed or computed, with why it governs."""
    row = known.row
    title, measure = word_of("required_torque_nm"), "required_torque_nm"
    greatest = max(computed, key=lambda step: step.value, default=None)
    if pd.isna(row["printed_torque_nm"]) and greatest is not None and len(computed) == 1:
        return [shown_as(greatest, measure)]
    puts = []
    if pd.notna(row["printed_torque_nm"]):
        given = known.of_schedule("printed_torque_nm")
        says = "required torque printed on the schedule"
        puts.append(Input("Tp", says, given.value, "N·m", given.origin))
    if greatest is not None:
        puts.append(Input("Tc", "greatest torque that the loads need", greatest.value, "N·m",
                        source=result_of(greatest).source))  # fmt: skip
    equation = described(formulas.governing_torque).equation if len(puts) > 1 else ""
    if pd.notna(row["printed_agrees"]):
        puts.append(Input("s", "share up to which they agree", row["cross_check_share"], "",
                        source="project.toml: required_torque.cross_check_share"))  # fmt: skip
    step = Step(SUBJECT, title, equation, tuple(puts), row[measure], "N·m", _why(row), measure)
    return [*computed, step]


def _why(row: pd.Series) -> str:
    """Which of the printed and the computed value governs, and why."""
    return {
        "printed": "the schedule: what is printed governs",
        "computed": "the loads: nothing is printed",
        "printed, by its clause": f"the printed value governs by {row['printed_governs']}",
        "printed, the greater": "beyond the cross-check share the greater governs: the printed",
        "computed, the greater": "beyond the cross-check share the greater governs: the computed",
    }[row["required_by"]]
