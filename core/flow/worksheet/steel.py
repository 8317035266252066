"""Steps of the string: the lengths placed, what is in the ground, and the difference to the toe."""

from __future__ import annotations

from dataclasses import replace

import pandas as pd

from core.compute import steel as formulas
from core.flow.worksheet.known import Known
from core.flow.worksheet.steps import (
    Input,
    InputValue,
    Step,
    lowered,
    of_row,
    recorded,
    result_of,
    shown_as,
    word_of,
    worked,
)

SUBJECT = "steel"


def steps(known: Known) -> list[Step]:
    """Length placed and length in the ground, when every length of the string is known."""
    row = known.row
    made = [
        recorded(SUBJECT, name, _of_last_run(known, name), "mm", "as the last run records it")
        for name in ("cut_off_mm", "stick_up_mm")
        if pd.notna(row[name])
    ]
    if pd.isna(row["placed_length_mm"]):
        return made
    placed = _placed(known)
    made.append(placed)
    if pd.notna(row["string_length_mm"]):
        inside = worked(
            SUBJECT,
            word_of("string_length_mm"),
            formulas.length_in_ground,
            placed_mm=result_of(placed),
            cut_off_mm=_of_last_run(known, "cut_off_mm"),
            stick_up_mm=_of_last_run(known, "stick_up_mm"),
        )
        made.append(shown_as(inside, "string_length_mm"))
        made += _difference(known, made[-1])
    return made


def _of_last_run(known: Known, name: str) -> InputValue:
    return of_row(known.runs.iloc[-1], name, "run")


def _placed(known: Known) -> Step:
    chain = known.assessment.measured.chain
    held = chain[chain["pile_id"].eq(known.row["pile_id"]) & chain["latest"]]
    held = held.drop_duplicates("place").sort_values("place")
    puts = []
    for number, (_, piece) in enumerate(held.iterrows(), start=1):
        given = _length(known, piece)
        says = f"{piece['component']} {piece['stamp']}"
        puts.append(Input(f"L{lowered(number)}", says, given.value, "mm", given.origin))
    total = sum(put.value for put in puts)
    equation = "P = L₁ + … + Lₙ"
    title = word_of("placed_length_mm")
    source = "sum of the components of the string, from the toe up"
    return Step(SUBJECT, title, equation, tuple(puts), total, "mm", source, "placed_length_mm")


def _length(known: Known, piece: pd.Series) -> InputValue:
    """The length used as placed, else the length that the delivery says."""
    if pd.notna(piece["used_length_mm"]):
        return of_row(piece, "used_length_mm", "component_placed")
    held = known.components
    held = held[held["stamp"].eq(piece["stamp"]) & held["delivery_id"].eq(piece["delivery_id"])]
    return of_row(held.iloc[0], "length_mm", "component")


def _difference(known: Known, inside: Step) -> list[Step]:
    toe = known.of_runs("toe_mm", "last")
    if pd.isna(known.row["length_difference_mm"]):
        return []
    puts = (
        Input("L", "length of the string in the ground", inside.value, "mm",
            source=result_of(inside).source),
        Input("D", "depth of the toe along the axis", toe.value, "mm", toe.origin, toe.source),
    )  # fmt: skip
    title, value = word_of("length_difference_mm"), abs(inside.value - toe.value)
    step = Step(SUBJECT, title, "d = |L − D|", puts, value, "mm", "difference of lengths")
    return [replace(step, measure="length_difference_mm")]
