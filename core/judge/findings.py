"""The frame of findings, and the engine that runs one rule over every pile that it concerns."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
import pandas as pd

from core import words

FINDING_COLUMNS = (
    "subject_kind",
    "subject",
    "pile_id",
    "kind",
    "result",
    "measured",
    "limit_value",
    "margin",
    "uncertainty",
    "unit_column",
    "clause",
    "due_on",
    "note",
    "measure",
)
NUMBERS = ("measured", "limit_value", "margin", "uncertainty")
Outcome = pd.DataFrame  # result, measured, limit_value and, where there is more to say, note
RELATIVE_NOISE = 1e-9  # of unit conversion, so that "exactly on the limit" is met in any unit


@dataclass(frozen=True)
class Rule:
    """One kind of finding: its criterion in project.toml and the function that decides it.

    ``measure`` names the measure whose rows are the evidence; ``sense`` says on which side of
    the limit the measured value should lie, for the margin.
    """

    kind: str
    criterion: str
    decide: Callable[[pd.DataFrame], Outcome]
    measure: str
    sense: Literal["at least", "at most", "neither"] = "neither"
    unit_column: str = ""


def at_least(measured: pd.Series, limit: pd.Series) -> pd.Series:
    """Whether measured ≥ limit, blind to conversion noise; False where either is missing."""
    return measured >= limit - RELATIVE_NOISE * limit.abs()


def at_most(measured: pd.Series, limit: pd.Series) -> pd.Series:
    """Whether measured ≤ limit, blind to conversion noise; False where either is missing."""
    return measured <= limit + RELATIVE_NOISE * limit.abs()


def outcome(
    cases: pd.DataFrame,
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


def findings_of_rule(rule: Rule, piles: pd.DataFrame, criteria: pd.DataFrame) -> pd.DataFrame:
    """Findings of one rule, one row per pile with a type.

    ``criteria`` is ``Project.criteria(rule.criterion)`` with due_on worked out per pile by
    ``with_due``; ``piles`` are the pile measures.
    """
    cases = piles.merge(criteria, on="pile_id", suffixes=("", "_of_criterion"))
    findings = pd.DataFrame(
        {
            "subject_kind": "pile",
            "subject": cases["pile_id"],
            "pile_id": cases["pile_id"],
            "kind": rule.kind,
            "result": "not yet due",
            "measured": np.nan,
            "limit_value": np.nan,
            "margin": np.nan,
            "uncertainty": np.nan,
            "unit_column": rule.unit_column,
            "clause": cases["clause"],
            "due_on": cases["due_on"],
            "note": "",
            "measure": rule.measure,
        }
    )
    findings.loc[cases["criterion_status"].eq("not required"), "result"] = "not required"
    due = cases["criterion_status"].eq("set") & cases["is_due"]
    if due.any():
        decided = rule.decide(cases[due]).reindex(
            columns=["result", "measured", "limit_value", "note"]
        )
        for name in ("result", "measured", "limit_value"):
            findings.loc[due, name] = decided[name]
        findings.loc[due, "note"] = decided["note"].fillna("")
    sign = {"at least": 1.0, "at most": -1.0, "neither": np.nan}[rule.sense]
    findings["margin"] = sign * (findings["measured"] - findings["limit_value"])
    keep = cases["criterion_status"].ne("not set") & findings["result"].notna()
    return findings[keep]


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
    frame = pd.DataFrame({"subject": subjects.to_numpy()}, index=subjects.index)
    frame = frame.reindex(columns=list(FINDING_COLUMNS))
    frame["subject_kind"], frame["kind"], frame["result"] = subject_kind, kind, result
    frame["pile_id"] = subjects if subject_kind == "pile" else None
    frame["note"], frame["measure"], frame["clause"], frame["unit_column"] = note, measure, "", ""
    numbers: Any = dict.fromkeys(NUMBERS, "float64")
    return frame.astype({**numbers, "due_on": "datetime64[us]"})


def with_due(
    criteria: pd.DataFrame, piles: pd.DataFrame, reached: pd.DataFrame, on: pd.Timestamp
) -> pd.DataFrame:
    """``criteria`` per pile instead of per type, with due_on, is_due and at_work.

    ``reached`` has one row per pile and stage reached (pile_id, order, reached_on). A criterion
    is due from the first day on which the pile stood at its stage or past it, plus the delay.
    """
    frame = piles[["pile_id", "pile_type"]].merge(criteria, on="pile_type")
    order = frame["due"].map(words.STAGE_ORDER).astype(float)
    asked = frame[["pile_id"]].assign(asked=order, place=np.arange(len(frame)))
    past = asked.merge(reached, on="pile_id")
    past = past[past["order"] >= past["asked"]]
    first = past.groupby("place")["reached_on"].min().reindex(asked["place"])
    delay = pd.to_timedelta(frame["due_after_days"].astype(float).fillna(0), unit="D")
    frame["due_on"] = pd.to_datetime(first.to_numpy()) + delay.to_numpy()
    frame["is_due"] = frame["due_on"] <= on
    at_work = reached.loc[reached["order"] >= words.STAGE_ORDER["installing"], "pile_id"]
    frame["at_work"] = frame["pile_id"].isin(at_work)
    return frame.drop(columns="pile_type")


def sorted_findings(parts: list[pd.DataFrame]) -> pd.DataFrame:
    """All findings in one frame, worst result first, then by kind in the order of the words."""
    filled = [part for part in parts if len(part)]
    if not filled:
        return pd.DataFrame(columns=list(FINDING_COLUMNS))
    frame = pd.concat(filled, ignore_index=True)[list(FINDING_COLUMNS)]
    results = {word: rank for rank, word in enumerate(words.RESULTS)}
    kinds = {kind.word: rank for rank, kind in enumerate(words.FINDING_KINDS)}
    rank = pd.DataFrame({"r": frame["result"].map(results), "k": frame["kind"].map(kinds)})
    return frame.loc[rank.sort_values(["r", "k"], kind="stable").index].reset_index(drop=True)
