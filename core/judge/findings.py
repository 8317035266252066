"""The frame of findings, and the engine that runs one rule over every pile that it concerns."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

import numpy as np
import numpy.typing as npt
import pandas as pd

from core import words
from core.judge.cases import Cases as Cases  # part of this module
from core.judge.cases import DueCases, Mask
from core.records import CONVERSION_NOISE

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
    "parameter",
    "item",
)
NUMBERS = ("measured", "limit_value", "margin", "uncertainty")
OPTIONAL = (("note", object), ("sense", object), ("due_on", "datetime64[us]"),
            ("uncertainty", "float64"), ("item", object))  # fmt: skip
Values = npt.NDArray[Any]
# One row per case: result, measured and limit_value; note, sense, due_on, uncertainty and item
# where there is more. Findings of one kind, result and ``item`` are one outstanding item.
Outcome = pd.DataFrame
WITHHELD = ("met", "noted", "waiting")  # results that a missing parameter leaves without evidence
SIGNS = {"at least": 1.0, "at most": -1.0, "": np.nan}


@dataclass(frozen=True)
class Rule:
    """One kind of finding: its criterion in project.toml and the function that decides it.

    ``measure`` names the measure whose rows are the evidence; ``sense`` says on which side of
    the limit the measured value should lie, for the margin; empty where neither side is better.
    An outcome with a ``sense`` of its own, of a limit on both sides, goes before it. ``needs``
    names parameters, as ``criterion.parameter``, that older settings lack: while one is missing
    the result is *no evidence*, unless the rest of the record already gives *not met* or a reason
    of its own.
    """

    kind: str
    criterion: str
    decide: Callable[[Cases], Outcome]
    measure: str
    sense: Literal["at least", "at most", ""] = ""
    unit_column: str = ""
    needs: tuple[str, ...] = ()


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


@cache
def no_findings() -> pd.DataFrame:
    """A frame of findings without a row; the same each time, so nobody writes to it."""
    numbers: Any = dict.fromkeys(NUMBERS, "float64")
    empty = pd.DataFrame(columns=list(FINDING_COLUMNS))
    return empty.astype({**numbers, "due_on": "datetime64[us]"})


def findings_of_rules(
    rules: Sequence[Rule], piles: pd.DataFrame, criteria: Mapping[str, pd.DataFrame]
) -> pd.DataFrame:
    """Findings of all ``rules``, rule after rule.

    One row per rule and pile whose type sets the rule's criterion or needs it not. ``criteria``
    come of ``due.with_due``, by name; each stands row by row beside ``piles``, the pile measures.
    """
    parts = [_columns(rule, piles, criteria) for rule in rules]
    filled = [part for part in parts if part]
    if not filled:
        return no_findings()
    return pd.DataFrame(
        {name: np.concatenate([part[name] for part in filled]) for name in FINDING_COLUMNS}
    )


def _columns(
    rule: Rule, piles: pd.DataFrame, every: Mapping[str, pd.DataFrame]
) -> dict[str, Values]:
    """The columns of one rule's findings; empty when no type asks for its criterion."""
    criteria = every[rule.criterion]
    status = criteria["criterion_status"].to_numpy(dtype=object)
    is_set = status == "set"
    asked = is_set | (status == "not required")
    if not asked.any():
        return {}
    due = is_set & criteria["is_due"].to_numpy(dtype=bool)
    found = {
        "result": np.where(is_set, "not yet due", "not required").astype(object),
        "measured": np.full(len(piles), np.nan),
        "limit_value": np.full(len(piles), np.nan),
        "note": np.full(len(piles), "", dtype=object),
        "sense": np.full(len(piles), rule.sense, dtype=object),
        "due_on": criteria["due_on"].to_numpy(dtype="datetime64[us]").copy(),
        "uncertainty": np.full(len(piles), np.nan),
        "parameter": np.full(len(piles), "", dtype=object),
        "item": np.full(len(piles), "", dtype=object),
    }
    if due.any():
        _decide(rule, DueCases(piles, criteria, due), due, found)
        _withhold(missing_parameters(rule.needs, every), found, due)
    signs = np.array([SIGNS[sense] for sense in found["sense"]])
    margin = signs * (found["measured"] - found["limit_value"])
    margin[found["result"] == "no evidence"] = np.nan  # what is measured may be a part
    pile_id = piles["pile_id"].to_numpy(dtype=object)
    columns = {
        **found,
        "subject_kind": np.full(len(piles), "pile", dtype=object),
        "subject": pile_id,
        "pile_id": pile_id,
        "kind": np.full(len(piles), rule.kind, dtype=object),
        "margin": margin,
        "unit_column": np.full(len(piles), rule.unit_column, dtype=object),
        "clause": criteria["clause"].to_numpy(dtype=object),
        "measure": np.full(len(piles), rule.measure, dtype=object),
    }
    kept = asked & pd.notna(found["result"])
    return {name: columns[name][kept] for name in FINDING_COLUMNS}


def _decide(rule: Rule, cases: DueCases, due: Mask, found: dict[str, Values]) -> None:
    """Put the outcome of ``rule`` for the piles of which it is due into ``found``."""
    decided = rule.decide(cases).reindex(cases.index)
    found["result"][due] = decided["result"].to_numpy(dtype=object)
    for name in ("measured", "limit_value"):
        found[name][due] = decided[name].to_numpy(dtype="float64", na_value=np.nan)
    for name, dtype in OPTIONAL:
        if name in decided:
            own = decided[name].to_numpy(dtype=dtype)
            found[name][due] = np.where(pd.notna(own), own, found[name][due])


def missing_parameters(
    needs: Sequence[str], criteria: Mapping[str, pd.DataFrame]
) -> npt.NDArray[np.object_] | None:
    """Per pile the names in ``needs`` that its set criteria lack, with commas; None for nobody."""
    keys: list[npt.NDArray[np.object_]] = []
    for name in needs:
        criterion, _, parameter = name.partition(".")
        frame = criteria[criterion]
        lacks = frame["criterion_status"].eq("set")
        if parameter in frame:
            lacks &= frame[parameter].isna()
        if lacks.any():
            keys.append(np.where(lacks, f"{name}, ", "").astype(object))
    if not keys:
        return None
    return np.array([text.removesuffix(", ") for text in sum(keys[1:], keys[0])], dtype=object)


def _withhold(missing: npt.NDArray[np.object_] | None, found: dict[str, Values], due: Mask) -> None:
    """Leave a rule that is due without evidence where a parameter that it needs is missing."""
    if missing is None:
        return
    unsaid = (found["result"] == "no evidence") & (found["note"] == "")
    waits = due & (missing != "") & (np.isin(found["result"], WITHHELD) | unsaid)
    found["result"][waits] = "no evidence"
    found["note"][waits] = missing[waits] + " is not set in project.toml"
    found["parameter"][waits] = missing[waits]


def parameters_not_set(findings: pd.DataFrame, criteria_set: pd.Series) -> pd.DataFrame:
    """One *no evidence* finding per criteria set and parameter that findings of its piles lack.

    ``criteria_set``: by pile. Findings that wait for a parameter name it in ``parameter``.
    """
    waits = findings[findings["parameter"].ne("")]
    if waits.empty:
        return no_findings()
    pairs = pd.DataFrame(
        {
            "pile_id": waits["pile_id"],
            "criteria_set": waits["pile_id"].map(criteria_set),
            "parameter": waits["parameter"].str.split(", "),
        }
    )
    pairs = pairs.explode("parameter").drop_duplicates()
    number = pairs.groupby(["criteria_set", "parameter"], sort=True).size().reset_index(name="n")
    piles = number["n"].astype("str") + " " + number["n"].eq(1).map({True: "pile", False: "piles"})
    note = number["parameter"] + " is not set in project.toml; affects " + piles
    return other_findings(
        number["criteria_set"], "parameter not set", "no evidence", note, number["parameter"],
        subject_kind="criteria set",
    )  # fmt: skip


def criterion_not_set(name: str, criteria: pd.DataFrame, criteria_set: pd.Series) -> pd.DataFrame:
    """One *no evidence* finding per pile at work whose type is silent about criterion ``name``.

    They share one item per criteria set; ``criteria_set``: by pile, missing for an unknown type.
    """
    silent = criteria[criteria["criterion_status"].eq("not set") & criteria["at_work"]]
    word = name.replace("_", " ")
    sets = silent["pile_id"].map(criteria_set)
    return other_findings(
        silent["pile_id"],
        "criterion not set",
        "no evidence",
        note=f"{word} is neither set nor declared not required",
        measure=name,
        item=(sets.astype("str") + f": {word}").fillna(""),
    )


def other_findings(
    subjects: pd.Series,
    kind: str,
    result: str,
    note: pd.Series | str = "",
    measure: pd.Series | str = "",
    subject_kind: str = "pile",
    item: pd.Series | str = "",
) -> pd.DataFrame:
    """Findings that come of no criterion, one per subject.

    ``item`` names the outstanding item that several of them share; empty for one of its own.
    """
    assert kind in words.FINDING_KIND, kind
    if subjects.empty:
        return no_findings()
    frame = pd.DataFrame({"subject": subjects.to_numpy()}, index=subjects.index)
    frame = frame.reindex(columns=list(FINDING_COLUMNS))
    frame["subject_kind"], frame["kind"], frame["result"] = subject_kind, kind, result
    frame["pile_id"] = subjects if subject_kind == "pile" else None
    frame["note"], frame["measure"], frame["item"] = note, measure, item
    frame[["clause", "sense", "unit_column", "parameter"]] = ""
    numbers: Any = dict.fromkeys(NUMBERS, "float64")
    return frame.astype({**numbers, "due_on": "datetime64[us]"})


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
