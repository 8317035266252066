"""How each number of a pile comes about, step by step, so that a reader can do it again by hand.

Nothing here is judged: the steps repeat what the assessment worked out, from the same records.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from typing import Any

import pandas as pd

from core.errors import WrongUse
from core.flow.assessing import Assessment
from core.flow.measuring.bearing import bearing_tables
from core.flow.measuring.grout import grout_tables
from core.flow.measuring.steel import of_one as steel_tables
from core.flow.measuring.survey import survey_tables
from core.flow.worksheet import pile, torque
from core.flow.worksheet.known import known_of
from core.flow.worksheet.steps import Input, Origin, Step, number_text
from core.flow.worksheet.traced import steps_of
from core.store import Ledger

PARTS = (pile, torque)


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
    own = assessment.piles[assessment.piles["pile_id"].eq(pile_id)]
    if own.empty:
        raise WrongUse(f"The project holds no pile {pile_id} at this entry.")
    known = known_of(assessment, own.iloc[0])
    made = [step for part in PARTS for step in part.steps(known)]
    snapshot = assessment.snapshot
    made += steps_of(
        known,
        grout_tables(snapshot, own, traced=True),
        steel_tables(snapshot, pile_id),
        survey_tables(snapshot, own, traced=True),
        *bearing_tables(snapshot, own, traced=True),
    )
    steps = tuple(made)
    origins = list(dict.fromkeys(put.origin for step in steps for put in step.inputs if put.origin))
    return Worksheet(pile_id, steps, _places(assessment, origins))


def _places(assessment: Assessment, origins: list[Origin]) -> dict[Origin, tuple[str, str, int]]:
    """File, sheet and row of each origin; no file for what a form gave."""
    if not origins:
        return {}
    rows = pd.DataFrame([asdict(one) for one in origins])
    with Ledger(assessment.folder).read() as reader:
        found = reader.sources(rows)
    found = found.assign(file=found["file"].fillna(""), sheet=found["sheet"].fillna(""))
    places = zip(found["file"], found["sheet"], rows["row_no"], strict=True)
    return {one: (str(f), str(s), int(r)) for one, (f, s, r) in zip(origins, places, strict=True)}


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
            {"symbol": put.symbol, "says": put.description, "value": _plain(put.value),
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


__all__ = ["Input", "Step", "Worksheet", "number_text", "worksheet", "worksheet_object"]
