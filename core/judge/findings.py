"""The engine that runs each rule over the piles whose criteria ask for it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from core import words
from core.criteria import FINDING, Rule
from core.criteria.cases import DueCases, Mask, no_records
from core.criteria.findings import FINDING_COLUMNS, no_findings, other_findings
from core.criteria.settings import CRITERION_NOT_SET, PARAMETER_NOT_SET

TEXTS = ("note", "sense", "item", "run", "part")
OPTIONAL: tuple[tuple[str, Any], ...] = (
    *((name, object) for name in TEXTS),
    ("due_on", "datetime64[us]"),
    ("uncertainty", "float64"),
)
Values = npt.NDArray[Any]
WITHHELD = ("met", "noted", "waiting")  # results that a missing parameter leaves without evidence
SIGNS = {"at least": 1.0, "at most": -1.0, "": np.nan}


def findings_of_rules(
    rules: Sequence[Rule],
    piles: pd.DataFrame,
    criteria: Mapping[str, pd.DataFrame],
    rows_of: Callable[[str], pd.DataFrame] = no_records,
) -> pd.DataFrame:
    """Findings of all ``rules``, rule after rule.

    One row per rule and pile whose type sets the rule's criterion or needs it not. ``criteria``
    come of ``due.with_due``, by name; each stands row by row beside ``piles``, the pile measures.
    ``rows_of``: current rows of a record kind up to the day of assessment.
    """
    parts = [_columns(rule, piles, criteria, rows_of) for rule in rules]
    filled = [part for part in parts if part]
    if not filled:
        return no_findings()
    return pd.DataFrame(
        {name: np.concatenate([part[name] for part in filled]) for name in FINDING_COLUMNS}
    )


def _columns(
    rule: Rule,
    piles: pd.DataFrame,
    every: Mapping[str, pd.DataFrame],
    rows_of: Callable[[str], pd.DataFrame],
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
        **{name: np.full(len(piles), "", dtype=object) for name in TEXTS},
        "sense": np.full(len(piles), rule.kind.sense, dtype=object),
        "due_on": criteria["due_on"].to_numpy(dtype="datetime64[us]").copy(),
        "uncertainty": np.full(len(piles), np.nan),
        "parameter": np.full(len(piles), "", dtype=object),
    }
    if due.any():
        _decide(rule, DueCases(piles, criteria, due, rows_of), due, found)
        _withhold(missing_parameters(rule.kind.needs, every), found, due)
    signs = np.array([SIGNS[sense] for sense in found["sense"]])
    margin = signs * (found["measured"] - found["limit_value"])
    margin[found["result"] == "no evidence"] = np.nan  # what is measured may be a part
    pile_id = piles["pile_id"].to_numpy(dtype=object)
    columns = {
        **found,
        "subject_kind": np.full(len(piles), "pile", dtype=object),
        "subject": pile_id,
        "pile_id": pile_id,
        "finding": np.full(len(piles), rule.kind.id, dtype=object),
        "kind": np.full(len(piles), rule.kind.word, dtype=object),
        "margin": margin,
        "unit_column": np.full(len(piles), rule.kind.unit_column, dtype=object),
        "clause": criteria["clause"].to_numpy(dtype=object),
        "measure": np.full(len(piles), rule.kind.measure, dtype=object),
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
        number["criteria_set"], PARAMETER_NOT_SET, "no evidence", note, number["parameter"],
        subject_kind="criteria set", part=number["parameter"],
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
        CRITERION_NOT_SET,
        "no evidence",
        note=f"{word} is neither set nor declared not required",
        measure=name,
        item=(sets.astype("str") + f": {word}").fillna(""),
        part=name,
    )


def sorted_findings(parts: list[pd.DataFrame]) -> pd.DataFrame:
    """All findings in one frame, worst result first, then by kind in the order of lists."""
    filled = [part for part in parts if len(part)]
    if not filled:
        return no_findings()
    frame = pd.concat(filled, ignore_index=True)[list(FINDING_COLUMNS)]
    results = {word: rank for rank, word in enumerate(words.RESULTS)}
    kinds = {name: rank for rank, name in enumerate(FINDING)}
    rank = pd.DataFrame({"r": frame["result"].map(results), "k": frame["finding"].map(kinds)})
    return frame.loc[rank.sort_values(["r", "k"], kind="stable").index].reset_index(drop=True)
