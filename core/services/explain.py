"""How each number of one pile comes about: a worksheet of steps from the same tables."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import nan
from typing import Any

import numpy as np
import pandas as pd

from core import records, units
from core.assessment.assess import Assessment
from core.assessment.measuring import of_one as steel_of_one
from core.assessment.measuring import pile_tables
from core.assessment.snapshot import Snapshot
from core.errors import WrongUse
from core.formulas.torque import final_torque
from core.selection import ordered_runs
from core.settings import Project
from core.subjects.bearing.measures import Inputs, Pile, Resistance, tables
from core.subjects.columns import Book
from core.subjects.piles.measures import Loads, Resistances
from core.subjects.steps import Input, Origin, Step, described, number_text
from core.subjects.tables import of_pile
from core.subjects.torque.measures import Pile as TorqueOfPile


def bearing_tables(
    snapshot: Snapshot, loads: Loads, resistances: Resistances
) -> tuple[Pile, Resistance]:
    """The tables of the one pile of ``loads`` and ``resistances``; its steps are kept."""
    rows, project = resistances.rows, snapshot.project
    runs = of_pile(snapshot.chosen(ordered_runs), rows.text("pile_id", 0))
    until = runs.values("run_on") <= np.datetime64(snapshot.on, "us")
    clause = "; ".join(_own_clause(loads, project))
    return tables(
        Inputs(
            piles=rows.with_text("own_clause", np.array([0]), [clause]),
            resistances=resistances,
            runs=runs.where(until),
            boreholes=snapshot.rows("borehole"),
            layers=snapshot.rows("borehole_layer"),
            helix_mm={name: one.helix_mm for name, one in project.tables.helix_sets.items()},
        ),
        traced=True,
    )


def _own_clause(loads: Loads, project: Project) -> list[str]:
    """What the project requires instead: its criterion of torque and its safety factor."""
    required = project.criteria("required_torque").set_index("pile_type")
    found, rows = [], loads.rows
    pile_type = rows.text("pile_type", 0)
    if pile_type in required.index:
        own = required.loc[pile_type]
        if own["criterion_status"] == "set":
            found.append(f"the project asks for its required torque by {own['clause']}")
    factors = project.safety_factors.frame()
    factors = factors[factors["direction"].eq(loads.factor_direction.at(0))]
    for _, factor in factors[factors["nature"].eq(rows.text("load_nature", 0))].iterrows():
        service = rows.text("load_basis", 0) == "service"
        needed = float(loads.load_kn.values[0] * factor["value"]) if service else float("nan")
        load = units.text(needed, "load_kn", "SI")
        found.append(f"safety factor {factor['value']:g} by {factor['clause']} asks for {load}")
    return found


@dataclass(frozen=True)
class Worksheet:
    """The steps of one pile; ``places`` gives file, sheet and row of each origin."""

    pile_id: str
    steps: tuple[Step, ...]
    places: dict[Origin, tuple[str, str, int]]

    def place(self, put: Input) -> str:
        """Where a number comes from, in words."""
        if put.origin is None:
            return put.source
        file, sheet, row = self.places[put.origin]
        return f"{file}, {f'{sheet}, ' if sheet else ''}row {row}" if file else "a form"


def worksheet(assessment: Assessment, pile_id: str) -> Worksheet:
    """The worksheet of one pile. Raises WrongUse when the project has no such pile."""
    rows = assessment.measured.tables.rows
    own = rows.where(rows.is_text("pile_id", pile_id))
    if not len(own):
        raise WrongUse(f"The project holds no pile {pile_id} at this entry.")
    snapshot = assessment.snapshot
    steel = steel_of_one(snapshot, pile_id)
    tables = pile_tables(snapshot, own, steel, of=pile_id)
    book = Book(assessment.project.as_entered)
    of_torque = tables.torque.pile, tables.torque.uncertainty, tables.loads, tables.resistances
    of_bearing = bearing_tables(snapshot, tables.loads, tables.resistances)
    for table in (tables.lengths, *of_torque, tables.grout, steel, tables.survey, *of_bearing):
        table.steps(book)
        if table is tables.torque.pile:
            book.steps += _without_final_torque(assessment, tables.torque.pile)
    steps = tuple(book.steps)
    return Worksheet(pile_id, steps, _places(assessment, steps))


def _without_final_torque(assessment: Assessment, pile: TorqueOfPile) -> list[Step]:
    """Why a pile with a run has no final torque, in the words of its finding."""
    if pile.final_torque_nm.known[0] or not pile.runs.number[0]:
        return []
    found = assessment.found
    own = found.is_text("pile_id", pile.rows.text("pile_id", 0)) & found.is_text(
        "finding", "mean_torque"
    )
    about, word = described(final_torque), records.MEASURE["final_torque_nm"].word
    return [
        Step(pile.subject, f"{word[:1].upper()}{word[1:]}", about.equation, (), nan, about.unit,
             about.source, "final_torque_nm", note)
        for note in found.where(own).text("note")[:1]
        if note
    ]  # fmt: skip


def _places(assessment: Assessment, steps: Iterable[Step]) -> dict[Origin, tuple[str, str, int]]:
    """File, sheet and row of each origin; ``form`` in place of a file for what a form gave."""
    entries = assessment.snapshot.entries
    file = dict(zip(entries["entry_no"], entries["source"].fillna("form"), strict=True))
    origins = {put.origin for step in steps for put in step.inputs if put.origin}
    return {one: (file[one.entry_no], one.sheet or "", one.row_no) for one in origins}


def explain(assessment: Assessment, pile_id: str) -> pd.DataFrame:
    """How the numbers of one pile come about: one row is one step of its worksheet.

    Columns: subject, title, measure (empty where the step is none), value, unit, equation, inputs
    (each with its place), source, note. Raises WrongUse when the project has no such pile.
    """
    sheet = worksheet(assessment, pile_id)
    rows = [
        {
            "subject": step.subject,
            "title": step.title,
            "measure": step.measure,
            "value": step.value,
            "unit": step.unit,
            "equation": step.equation,
            "inputs": "; ".join(
                f"{put.symbol} = {number_text(put.value, put.unit)} {put.unit} ({sheet.place(put)})"
                for put in step.inputs
            ),
            "source": step.source,
            "note": step.note,
        }
        for step in sheet.steps
    ]
    return pd.DataFrame(rows)


def worksheet_object(sheet: Worksheet) -> dict[str, Any]:
    """The worksheet for JSON: numbers as they are, each with its unit and where it comes from."""
    return {"pile": sheet.pile_id, "steps": [_step_object(sheet, one) for one in sheet.steps]}


def _step_object(sheet: Worksheet, step: Step) -> dict[str, Any]:
    return {
        "subject": step.subject,
        "title": step.title,
        "measure": step.measure or None,
        "equation": step.equation or None,
        "inputs": [
            {"symbol": put.symbol, "description": put.description, "value": _plain(put.value),
             "unit": put.unit, **dict(_origin(sheet, put))}
            for put in step.inputs
        ],
        "result": {"value": _plain(step.value), "unit": step.unit},
        "note": step.note or None,
        "source": step.source,
    }  # fmt: skip


def _origin(sheet: Worksheet, put: Input) -> Iterator[tuple[str, Any]]:
    file, name, row = sheet.places[put.origin] if put.origin else ("", "", None)
    yield from {"file": file or None, "sheet": name or None, "row": row}.items()
    yield "from", put.source or None


def _plain(value: float) -> float | None:
    return None if pd.isna(value) else value
