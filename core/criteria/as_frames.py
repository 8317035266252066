# mypy: disable-error-code="no-any-return,arg-type,unused-ignore"
"""Rules and makers that still work on frames; this module goes with the last of them."""

from __future__ import annotations

from typing import Any, TypeAlias

import numpy as np
import pandas as pd

from core.criteria import cases as of_arrays
from core.criteria import kinds
from core.criteria.findings import (
    FINDING_COLUMNS,
    NUMBERS,
    STORED,
    VOCABULARIES,
    Findings,
    Vocabulary,
)
from core.criteria.outcomes import NO_FINDING, RESULT, SENSE
from core.criteria.outcomes import Outcome as Decided
from core.criteria.outcomes import at_least as at_least
from core.criteria.outcomes import at_most as at_most

Cases: TypeAlias = Any
Outcome: TypeAlias = Any
OF_FRAMES = {f"core.criteria.{name}" for name in
             ("grout", "survey", "steel")}  # fmt: skip


class FrameCases:
    """Cases as series."""

    def __init__(self, cases: of_arrays.Cases) -> None:
        self._cases = cases
        self._piles: pd.DataFrame = cases._piles._frame  # type: ignore[attr-defined]
        rows = pd.DataFrame(list(cases._settings._rows))  # type: ignore[attr-defined]
        at = cases._of_pile
        self.index = self._piles.index[at]
        self._criterion = rows.take(cases._of_type).set_axis(self.index)

    def __getitem__(self, name: str) -> pd.Series:
        if name in self._piles:
            return self._piles[name].iloc[self._cases._of_pile]
        return self._criterion[name.removesuffix("_of_criterion")]


def decided(kind: kinds.FindingKind, decide: kinds.Decide, cases: of_arrays.Cases) -> Decided:
    """What a rule decides, of frames or of arrays."""
    one: Any = getattr(decide, "decides", (decide,))[0]
    if one.__module__ not in OF_FRAMES:
        return decide(cases)
    given: Any = FrameCases(cases)
    frame: Any = decide(given)
    frame = frame.reindex(given.index)
    result = np.array([RESULT.get(x, NO_FINDING) for x in frame["result"].tolist()], np.int8)
    found = Decided(result, *(frame[name].to_numpy("float64", na_value=np.nan)
                              for name in ("measured", "limit_value")))  # fmt: skip
    for name in ("note", "item", "run", "part"):
        if name in frame:
            text = [x if isinstance(x, str) else "" for x in frame[name].tolist()]
            found.put(np.ones(len(frame), bool), **{name: lambda at, text=text: text})
    if "sense" in frame:
        found.sense = np.array([SENSE[x] for x in frame["sense"].fillna(kind.sense)], np.int8)
    if "uncertainty" in frame:
        found.uncertainty = frame["uncertainty"].to_numpy("float64", na_value=np.nan)
    if "due_on" in frame:
        found.due_on = frame["due_on"].to_numpy("datetime64[us]")
    return found


def findings_of(frame: pd.DataFrame | Findings) -> Findings:
    """Findings of a frame of findings."""
    if isinstance(frame, Findings):
        return frame
    vocabularies = {name: Vocabulary() for name in VOCABULARIES}
    columns: dict[str, Any] = {
        name: vocabularies[name].codes([x if isinstance(x, str) else "" for x in frame[name]])
        for name in VOCABULARIES
    }
    columns["pile_id"] = np.where(frame["subject_kind"].eq("pile"), columns["subject"], -1)
    columns["result"] = np.array([RESULT[x] for x in frame["result"]], np.int8)
    columns["sense"] = np.array([SENSE[x] for x in frame["sense"]], np.int8)
    for name in STORED:
        columns[name] = frame[name].to_numpy("float64", na_value=np.nan)
    columns["due_on"] = frame["due_on"].to_numpy("datetime64[us]")
    return Findings(columns, vocabularies, dict(zip(frame["finding"], frame["kind"], strict=True)))


def outcome(
    cases: Any,
    met: pd.Series,
    measured: pd.Series,
    limit: pd.Series | float = np.nan,
    note: pd.Series | str = "",
) -> Any:
    """An outcome per case: *no evidence* where measured or limit is missing, else met or not."""
    frame = pd.DataFrame({"measured": measured.astype(float)}, index=cases.index)
    frame["limit_value"] = limit
    frame["note"] = note
    known = frame["measured"].notna() & frame["limit_value"].notna()
    frame["result"] = np.where(known, np.where(met, "met", "not met"), "no evidence")
    return frame


def no_findings() -> Any:
    """A frame of findings without a row."""
    numbers: Any = dict.fromkeys(NUMBERS, "float64")
    empty = pd.DataFrame(columns=list(FINDING_COLUMNS))
    return empty.astype({**numbers, "due_on": "datetime64[us]"})


def other_findings(
    subjects: pd.Series,
    kind: kinds.FindingKind,
    result: str,
    note: pd.Series | str = "",
    measure: pd.Series | str = "",
    subject_kind: str = "pile",
    item: pd.Series | str = "",
    run: pd.Series | str = "",
    part: pd.Series | str = "",
) -> Any:
    """Findings that no criterion asks for, one per subject."""
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
