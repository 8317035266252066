"""What a rule decides of one invented pile, and criteria beside invented piles."""

from __future__ import annotations

from typing import Any

import numpy as np

from core import words
from core.criteria.cases import Cases, PileCriterion
from core.criteria.columns import RowColumns

TEXTS = ("note", "item", "run", "part")


def criterion(*rows: dict[str, Any], due_on: Any = "2026-03-01", is_due: bool = True):
    """A criterion set as ``rows`` have it, one row per pile, each of a type of its own."""
    settings = RowColumns([{"criterion_status": "set", "clause": "5.1", **row} for row in rows])
    days = np.full(len(rows), np.datetime64(due_on, "us"))
    return PileCriterion(settings, np.arange(len(rows)), days, np.full(len(rows), is_due))


def decided(rule: Any, case: dict[str, Any]) -> dict[str, Any]:
    """What ``rule`` decides of a pile with the measures and parameters of ``case``, by column."""
    found = rule(Cases(RowColumns([case]), criterion(case)))
    code = int(found.result[0])
    return {
        "result": None if code < 0 else words.RESULTS[code],
        "measured": float(found.measured[0]),
        "limit_value": float(found.limit_value[0]),
        "uncertainty": None if found.uncertainty is None else float(found.uncertainty[0]),
        "due_on": None if found.due_on is None else found.due_on[0],
        **{name: found.text(name)[0] for name in TEXTS},
    }
