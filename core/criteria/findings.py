"""The frame of findings, and what the functions that decide findings have in common."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pandas as pd

from core.criteria.cases import Cases
from core.criteria.kinds import FindingKind, Outcome
from core.records import CONVERSION_NOISE

FINDING_COLUMNS = (
    "subject_kind",
    "subject",
    "pile_id",
    "finding",
    "kind",
    "run",
    "part",
    "result",
    "measured",
    "limit_value",
    "sense",
    "margin",
    "uncertainty",
    "unit_column",
    "clause",
    "due_on",
    "note",
    "measure",
    "parameter",
    "item",
)
NUMBERS = ("measured", "limit_value", "margin", "uncertainty")


def at_least(measured: pd.Series, limit: pd.Series) -> pd.Series:
    """Whether measured ≥ limit, blind to conversion noise; False where either is missing."""
    return measured >= limit - CONVERSION_NOISE * limit.abs()


def at_most(measured: pd.Series, limit: pd.Series) -> pd.Series:
    """Whether measured ≤ limit, blind to conversion noise; False where either is missing."""
    return measured <= limit + CONVERSION_NOISE * limit.abs()


def outcome(
    cases: Cases,
    met: pd.Series,
    measured: pd.Series,
    limit: pd.Series | float = np.nan,
    note: pd.Series | str = "",
) -> Outcome:
    """An outcome per case: *no evidence* where measured or limit is missing, else met or not."""
    frame = pd.DataFrame({"measured": measured.astype(float)}, index=cases.index)
    frame["limit_value"] = limit
    frame["note"] = note
    known = frame["measured"].notna() & frame["limit_value"].notna()
    frame["result"] = np.where(known, np.where(met, "met", "not met"), "no evidence")
    return frame


def recorded(cases: Cases, known: pd.Series, note: pd.Series | str) -> Outcome:
    """An outcome without numbers: *met* where ``known``, else *no evidence* with ``note``."""
    frame = pd.DataFrame({"measured": np.nan, "limit_value": np.nan}, index=cases.index)
    frame["result"] = np.where(known, "met", "no evidence")
    frame["note"] = pd.Series(note, index=cases.index, dtype="str").mask(known.astype(bool), "")
    return frame


@cache
def no_findings() -> pd.DataFrame:
    """A frame of findings without a row; the same each time, so nobody writes to it."""
    numbers: Any = dict.fromkeys(NUMBERS, "float64")
    empty = pd.DataFrame(columns=list(FINDING_COLUMNS))
    return empty.astype({**numbers, "due_on": "datetime64[us]"})


def other_findings(
    subjects: pd.Series,
    kind: FindingKind,
    result: str,
    note: pd.Series | str = "",
    measure: pd.Series | str = "",
    subject_kind: str = "pile",
    item: pd.Series | str = "",
    run: pd.Series | str = "",
    part: pd.Series | str = "",
) -> pd.DataFrame:
    """Findings that no criterion asks for, one per subject.

    ``item`` names the outstanding item that several of them share; empty for one of its own.
    ``run`` and ``part`` say what of the subject each is about; empty for the whole of it.
    """
    if subjects.empty:
        return no_findings()
    frame = pd.DataFrame({"subject": subjects.to_numpy()}, index=subjects.index)
    frame = frame.reindex(columns=list(FINDING_COLUMNS))
    frame["subject_kind"], frame["result"] = subject_kind, result
    frame["finding"], frame["kind"] = kind.id, kind.word
    frame["pile_id"] = subjects if subject_kind == "pile" else None
    frame["note"], frame["measure"], frame["item"] = note, measure, item
    frame["run"], frame["part"] = run, part
    frame[["clause", "sense", "unit_column", "parameter"]] = ""
    numbers: Any = dict.fromkeys(NUMBERS, "float64")
    return frame.astype({**numbers, "due_on": "datetime64[us]"})
