"""The data dictionary: every column of every record kind, as its declaration has it."""

from __future__ import annotations

from collections.abc import Sequence

import pandas as pd

from core import units
from core.records import Column, Kind
from core.reports.templates import unit_of

_COLUMNS = (
    "kind", "column", "type", "unit", "required", "key", "choices", "minimum", "maximum",
    "refers_to", "example", "other_names", "meaning",
)  # fmt: skip


def dictionary(kinds: Sequence[Kind]) -> pd.DataFrame:
    """One row per column of ``kinds``: minimum and maximum in ``unit``, the unit of the ledger.

    The example stands as a file writes it, with the unit of the template's heading.
    """
    rows = [_row(kind, column) for kind in kinds for column in kind.columns]
    frame = pd.DataFrame(rows, columns=pd.Index(_COLUMNS))
    return frame.astype({"minimum": "float64", "maximum": "float64"})


def _row(kind: Kind, column: Column) -> dict[str, object]:
    choices = "; ".join(column.choices)
    if column.settings_table:
        choices = f"a key of {column.settings_table} in project.toml"
    return {
        "kind": kind.name,
        "column": column.name,
        "type": column.form,
        "unit": units.unit_word(column.name),
        "required": column.required,
        "key": column.name in kind.key,
        "choices": choices,
        "minimum": column.low,
        "maximum": column.high,
        "refers_to": "; ".join(_references(kind, column)),
        "example": f"{column.example} {unit_of(column)}".strip() if column.example else "",
        "other_names": "; ".join(column.aliases),
        "meaning": column.meaning,
    }


def _references(kind: Kind, column: Column) -> list[str]:
    """Each parent of which ``column`` names the row, and what becomes of one without it."""
    return [
        f"{one.parent.name}.{one.columns[column.name]} (without it: {one.without})"
        for one in kind.refers_to
        if column.name in one.columns
    ]
