"""The frame of findings, and the engine that runs one rule over every pile that it concerns."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

import numpy as np
import numpy.typing as npt
import pandas as pd

from core import words
from core.judge.cases import Cases as Cases  # part of this module
from core.judge.cases import DueCases, Mask

FINDING_COLUMNS = (
    "subject_kind",
    "subject",
    "pile_id",
    "kind",
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
)
NUMBERS = ("measured", "limit_value", "margin", "uncertainty")
Days = npt.NDArray[np.datetime64]
# What an outcome says of a case; note, sense and due_on only where there is more to say.
OUTCOME_COLUMNS = ("result", "measured", "limit_value", "note", "sense", "due_on")
Outcome = pd.DataFrame
SIGNS = {"at least": 1.0, "at most": -1.0, "": np.nan}
RELATIVE_NOISE = 1e-9  # of unit conversion, so that "exactly on the limit" is met in any unit


@dataclass(frozen=True)
class Rule:
    """One kind of finding: its criterion in project.toml and the function that decides it.

    ``measure`` names the measure whose rows are the evidence; ``sense`` says on which side of
    the limit the measured value should lie, for the margin; empty where neither side is better.
    An outcome with a ``sense`` of its own, of a limit on both sides, goes before it.
    """

    kind: str
    criterion: str
    decide: Callable[[Cases], Outcome]
    measure: str
    sense: Literal["at least", "at most", ""] = ""
    unit_column: str = ""


def at_least(measured: pd.Series, limit: pd.Series) -> pd.Series:
    """Whether measured ≥ limit, blind to conversion noise; False where either is missing."""
    return measured >= limit - RELATIVE_NOISE * limit.abs()


def at_most(measured: pd.Series, limit: pd.Series) -> pd.Series:
    """Whether measured ≤ limit, blind to conversion noise; False where either is missing."""
    return measured <= limit + RELATIVE_NOISE * limit.abs()


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


@cache
def no_findings() -> pd.DataFrame:
    """A frame of findings without a row; the same each time, so nobody writes to it."""
    numbers: Any = dict.fromkeys(NUMBERS, "float64")
    empty = pd.DataFrame(columns=list(FINDING_COLUMNS))
    return empty.astype({**numbers, "due_on": "datetime64[us]"})


def findings_of_rule(rule: Rule, piles: pd.DataFrame, criteria: pd.DataFrame) -> pd.DataFrame:
    """Findings of one rule, one row per pile whose type sets the criterion or needs it not.

    ``criteria`` comes of ``with_due`` for ``rule.criterion`` and stands row by row beside
    ``piles``, the pile measures.
    """
    status = criteria["criterion_status"]
    asked = status.isin(["set", "not required"]).to_numpy()
    if not asked.any():
        return no_findings()
    due = (status.eq("set") & criteria["is_due"]).to_numpy()
    decided = _decided(rule, piles, criteria, due).reindex(piles.index[asked])
    criteria, pile_id, due = criteria[asked], piles.loc[asked, "pile_id"], due[asked]
    waits = np.where(status[asked].eq("set"), "not yet due", "not required")
    result = decided["result"].astype(object).where(due, waits)
    sense = decided["sense"].astype(object)
    sense = sense.where(sense.notna(), rule.sense)
    measured, limit = (decided[name].astype("float64") for name in ("measured", "limit_value"))
    margin = sense.map(SIGNS) * (measured - limit)
    findings = pd.DataFrame(
        {
            "subject_kind": "pile",
            "subject": pile_id,
            "pile_id": pile_id,
            "kind": rule.kind,
            "result": result,
            "measured": measured,
            "limit_value": limit,
            "sense": sense,
            "margin": margin.mask(result.eq("no evidence")),  # what is measured may be a part
            "uncertainty": np.nan,
            "unit_column": rule.unit_column,
            "clause": criteria["clause"],
            "due_on": _due_on(decided, criteria),
            "note": decided["note"].fillna(""),
            "measure": rule.measure,
        }
    )
    return findings[result.notna()]


def _decided(rule: Rule, piles: pd.DataFrame, criteria: pd.DataFrame, due: Mask) -> Outcome:
    """The outcome of ``rule`` for the piles of which it is due."""
    columns = list(OUTCOME_COLUMNS)
    if not due.any():
        return pd.DataFrame(columns=columns)
    return rule.decide(DueCases(piles, criteria, due)).reindex(columns=columns)


def _due_on(decided: Outcome, criteria: pd.DataFrame) -> pd.Series:
    """When the evidence falls due: the rule's own day, such as that of a test, or the stage's."""
    due: pd.Series = decided["due_on"].astype("datetime64[us]").fillna(criteria["due_on"])
    return due


def criterion_not_set(name: str, criteria: pd.DataFrame) -> pd.DataFrame:
    """One *no evidence* finding per pile at work whose type is silent about criterion ``name``."""
    silent = criteria[criteria["criterion_status"].eq("not set") & criteria["at_work"]]
    return other_findings(
        silent["pile_id"],
        "criterion not set",
        "no evidence",
        note=f"{name.replace('_', ' ')} is neither set nor declared not required",
        measure=name,
    )


def other_findings(
    subjects: pd.Series,
    kind: str,
    result: str,
    note: pd.Series | str = "",
    measure: str = "",
    subject_kind: str = "pile",
) -> pd.DataFrame:
    """Findings that come of no criterion, one per subject."""
    assert kind in words.FINDING_KIND, kind
    if subjects.empty:
        return no_findings()
    frame = pd.DataFrame({"subject": subjects.to_numpy()}, index=subjects.index)
    frame = frame.reindex(columns=list(FINDING_COLUMNS))
    frame["subject_kind"], frame["kind"], frame["result"] = subject_kind, kind, result
    frame["pile_id"] = subjects if subject_kind == "pile" else None
    frame["note"], frame["measure"] = note, measure
    frame[["clause", "sense", "unit_column"]] = ""
    numbers: Any = dict.fromkeys(NUMBERS, "float64")
    return frame.astype({**numbers, "due_on": "datetime64[us]"})


def first_days(piles: pd.DataFrame, reached: pd.DataFrame) -> Days:
    """First day on which each pile stood at each stage or past it; piles × stages, NaT: never.

    ``reached`` has one row per pile and stage reached (pile_id, order, reached_on).
    """
    stages = range(len(words.STAGES))
    table = reached.pivot_table("reached_on", "pile_id", "order", aggfunc="min")
    table = table.reindex(index=piles["pile_id"], columns=stages).astype("datetime64[us]")
    days: Days = table.to_numpy()
    return np.fmin.accumulate(days[:, ::-1], axis=1)[:, ::-1]


def with_due(
    criteria: pd.DataFrame, piles: pd.DataFrame, days: Days, on: pd.Timestamp
) -> pd.DataFrame:
    """``criteria`` beside each row of ``piles`` instead of per type, with due_on, is_due, at_work.

    ``days`` comes of ``first_days``. A criterion is due from the first day on which the pile
    stood at its stage or past it, plus the delay.
    """
    rows = pd.Index(criteria["pile_type"]).get_indexer(piles["pile_type"])
    frame = criteria.drop(columns="pile_type").reindex(rows).set_axis(piles.index)
    order = frame["due"].map(words.STAGE_ORDER).fillna(-1).astype(int).to_numpy()
    first = np.where(order >= 0, days[np.arange(len(frame)), order], np.datetime64("NaT", "us"))
    delay = pd.to_timedelta(frame["due_after_days"].fillna(0.0), unit="D")
    frame["due_on"] = pd.Series(pd.DatetimeIndex(first), index=frame.index) + delay
    frame["is_due"] = frame["due_on"] <= on
    frame["at_work"] = ~np.isnat(days[:, words.STAGE_ORDER["installing"]])
    frame["pile_id"] = piles["pile_id"]
    return frame


def sorted_findings(parts: list[pd.DataFrame]) -> pd.DataFrame:
    """All findings in one frame, worst result first, then by kind in the order of the words."""
    filled = [part for part in parts if len(part)]
    if not filled:
        return no_findings()
    frame = pd.concat(filled, ignore_index=True)[list(FINDING_COLUMNS)]
    results = {word: rank for rank, word in enumerate(words.RESULTS)}
    kinds = {kind.word: rank for rank, kind in enumerate(words.FINDING_KINDS)}
    rank = pd.DataFrame({"r": frame["result"].map(results), "k": frame["kind"].map(kinds)})
    return frame.loc[rank.sort_values(["r", "k"], kind="stable").index].reset_index(drop=True)
