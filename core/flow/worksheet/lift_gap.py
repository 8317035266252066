"""Steps of where the grout column begins, and of the widest gap between its lifts."""

from __future__ import annotations

from math import isfinite

import pandas as pd

from core.compute import grout as formulas
from core.compute.measures import lift_gaps
from core.compute.measures.grout import lift_names
from core.flow.worksheet.known import Known
from core.flow.worksheet.steps import (
    Input,
    InputValue,
    Step,
    assumed,
    of_row,
    recorded,
    result_of,
    word_of,
    worked,
)

SUBJECT = "grout"
SOURCE = "from where the column begins, from one lift to the next, and to the toe"


def column_begins(known: Known) -> tuple[list[Step], InputValue]:
    """The toe depth at which the grout column of the pile begins, and the steps to it."""
    row, made = known.row, []
    if pd.notna(row["grouted_length_mm"]):
        asked = _asked_length(known)
        source = "the schedule's, else the type's"
        made.append(recorded(SUBJECT, "grouted_length_mm", asked, "mm", source))
    disc = known.of_runs("first_disc_depth_mm", "least")
    if row["grout_from"] == "first disc" and isfinite(disc.value):
        return made, disc
    toe = known.of_runs("toe_mm", "last")
    if made and pd.notna(row["grout_from"]) and isfinite(toe.value):
        top = worked(
            SUBJECT, "Toe depth at which the column begins", formulas.column_top,
            toe_mm=toe, grouted_length_mm=result_of(made[0]),
        )  # fmt: skip
        return [*made, top], result_of(top)
    if row["grout_from"] == "ground":
        return made, assumed(0.0, "the column begins at the ground")
    return made, assumed(float("nan"), "nothing recorded says where the column begins")


def _asked_length(known: Known) -> InputValue:
    if pd.notna(known.row["schedule_grouted_length_mm"]):
        return known.of_schedule("schedule_grouted_length_mm")
    return known.of_type("grouted_length_mm")


def toe_depth(
    row: pd.Series, name: str, begins: InputValue, title: str
) -> tuple[list[Step], InputValue]:
    """A depth of a lift as depth of the toe, with its step where it is written of the column."""
    if row["depths_of"] != "column":
        return [], of_row(row, name, "grout_placement")
    written = of_row(row, f"written_{name}", "grout_placement")
    step = worked(SUBJECT, title, formulas.toe_of_column, column_mm=written, column_top_mm=begins)
    return [step], result_of(step)


def steps(known: Known, begins: InputValue) -> list[Step]:
    """The widest gap between the lifts of the pile, and the depths between which it lies."""
    value = known.row["lift_gap_mm"]
    if pd.isna(value):
        return []
    measure, equation = "lift_gap_mm", "g = d₂ − d₁"
    if value == 0:
        note = "no depth down to the toe is without a lift"
        return [Step(SUBJECT, word_of(measure), equation, (), 0.0, "mm", SOURCE, measure, note)]
    own = known.assessment.measured.placed
    own = own[own["pile_id"].eq(known.row["pile_id"])]
    gaps = lift_gaps.lift_gaps(own, known.row.to_frame().T.infer_objects())
    gap = gaps.iloc[int((gaps["gap_to_mm"] - gaps["gap_from_mm"]).to_numpy().argmax())]
    if not isfinite(begins.value):
        begins = assumed(0.0, "the ground; nothing recorded says where the column begins")
    made, above = _side(own, gap["lift_above"], "to_mm", gap["gap_from_mm"], begins, begins)
    more, below = _side(
        own, gap["lift_below"], "from_mm", gap["gap_to_mm"], begins, known.of_runs("toe_mm", "last")
    )
    puts = (
        Input("d₁", "where it begins", above.value, "mm", above.origin, above.source),
        Input("d₂", "where it ends", below.value, "mm", below.origin, below.source),
    )
    length = below.value - above.value
    step = Step(SUBJECT, word_of(measure), equation, puts, length, "mm", SOURCE, measure)
    return [*made, *more, step]


def _side(
    placed: pd.DataFrame, lift: str, name: str, depth_mm: float, begins: InputValue, end: InputValue
) -> tuple[list[Step], InputValue]:
    """One end of a gap: the depth of the lift there, else ``end``."""
    if not lift:
        return [], end
    row = placed[lift_names(placed).eq(lift) & placed[name].eq(depth_mm)]
    if row.empty:  # the column begins below the end of that lift
        return [], end
    word = "beginning" if name == "from_mm" else "end"
    return toe_depth(row.iloc[0], name, begins, f"Toe at the {word} of {lift}, beside the gap")
