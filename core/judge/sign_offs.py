"""What a sign-off saw, its digest, and whether it still stands."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from itertools import repeat
from math import isnan
from typing import Any

import numpy as np
import pandas as pd

from core import records
from core.judge.findings import other_findings

HARMLESS = ("met", "not required")
MISSING = "not recorded"
UNSEEN = ("noted", "not yet due")  # worsens nothing and says nothing about the pile yet


def what_is_seen(
    findings: pd.DataFrame, measures: pd.DataFrame, pile_ids: list[str]
) -> pd.DataFrame:
    """One row per pile: pile_id, seen (canonical JSON) and digest.

    Seen are the position and type, measured values, limits and results, in store units at the
    precision of ``records.MEASURES``; file names, entries and notes are not.
    """
    results = _results(findings[findings["pile_id"].isin(pile_ids)], pile_ids)
    piles = measures.set_index("pile_id").loc[pile_ids]
    numbers = _numbers(piles)
    served = piles[["position_id", "pile_type"]].fillna("").to_dict("records")
    seen = [
        json.dumps(
            {"findings": results[pile], "measures": values, "pile": place},
            ensure_ascii=False, sort_keys=True, separators=(",", ":"),
        )
        for pile, values, place in zip(pile_ids, numbers, served, strict=True)
    ]  # fmt: skip
    digests = [hashlib.sha256(text.encode()).hexdigest() for text in seen]
    return pd.DataFrame({"pile_id": pile_ids, "seen": seen, "digest": digests}, dtype="str")


def _results(findings: pd.DataFrame, pile_ids: list[str]) -> dict[str, list[list[str]]]:
    """Per pile the kind, result, measured value and limit of each finding seen, by kind."""
    decided = findings[~findings["result"].isin(UNSEEN)]
    decided = decided.sort_values(["pile_id", "kind", "subject"], kind="stable")
    decimals = [_decimals(unit) for unit in decided["unit_column"]]
    told = zip(
        decided["kind"],
        decided["result"],
        _printed(decided["measured"], decimals),
        _printed(decided["limit_value"], decimals),
        strict=True,
    )
    results: dict[str, list[list[str]]] = {pile: [] for pile in pile_ids}
    for pile, row in zip(decided["pile_id"], told, strict=True):
        results[pile].append(list(row))
    return results


def _numbers(piles: pd.DataFrame) -> list[dict[str, str]]:
    """Per row of ``piles`` its measures as printed, by name."""
    names = [measure.name for measure in records.MEASURES]
    columns = [
        _printed(piles[name], repeat(records.MEASURE[name].decimals, len(piles))) for name in names
    ]
    return [dict(zip(names, row, strict=True)) for row in zip(*columns, strict=True)]


def _decimals(unit_column: str) -> int:
    measure = records.MEASURE.get(unit_column)
    return measure.decimals if measure else 3


def _printed(values: pd.Series, decimals: Iterable[int]) -> list[str]:
    """Each number of ``values`` with its decimals."""
    numbers = values.to_numpy(dtype=float, na_value=np.nan).tolist()
    pairs = zip(numbers, decimals, strict=True)
    return [MISSING if isnan(number) else f"{number:.{places}f}" for number, places in pairs]


def standing_sign_offs(sign_offs: pd.DataFrame, seen_now: pd.DataFrame) -> pd.DataFrame:
    """``sign_offs`` with stands (what it saw still holds) and changed (in words)."""
    frame = sign_offs.merge(
        seen_now.rename(columns={"seen": "seen_now", "digest": "digest_now"}),
        left_on="subject",
        right_on="pile_id",
        how="left",
    )
    pairs = zip(frame["seen"], frame["seen_now"], strict=True)
    changed = ["" if then == now else _changed(then, now) for then, now in pairs]
    frame["changed"] = pd.Series(changed, index=frame.index, dtype="str")
    frame["stands"] = frame["changed"].eq("")
    return frame


def _changed(then: str, now: Any) -> str:
    return differences(then, now) if isinstance(now, str) else "the pile is gone"


def differences(then: str, now: str) -> str:
    """What differs between two things seen, for people; empty when all that was seen holds.

    A finding that was not there then is no difference while it is met or not required: it worsens
    nothing. A number that was not recorded then is none either; its finding says what it means.
    """
    before, after = json.loads(then), json.loads(now)
    changed = [
        f"{name.removesuffix('_id').replace('_', ' ')} {old} → {after['pile'].get(name)}"
        for name, old in before["pile"].items()
        if old != after["pile"].get(name)
    ]
    for name, old in before["measures"].items():
        new = after["measures"].get(name)
        if old not in (new, MISSING):
            word = records.MEASURE[name].word if name in records.MEASURE else name
            changed.append(f"{word} {old} → {new}")
    old_results = {row[0]: row[1:] for row in before["findings"]}
    new_results = {row[0]: row[1:] for row in after["findings"]}
    for kind in sorted({*old_results, *new_results}):
        old, new = old_results.get(kind, ["absent"]), new_results.get(kind, ["absent"])
        if old[0] == "absent" and new[0] in HARMLESS:
            continue
        if old[0] != new[0]:
            changed.append(f"{kind}: {old[0]} → {new[0]}")
        elif old != new:
            changed.append(f"{kind}: {' against '.join(old[1:])} → {' against '.join(new[1:])}")
    return "; ".join(changed)


def changed_findings(standing: pd.DataFrame) -> pd.DataFrame:
    """One *noted* finding per sign-off that dropped because what it saw has changed."""
    dropped = standing[~standing["stands"] & standing["pile_id"].notna()]
    return other_findings(
        dropped["pile_id"], "sign-off changed since", "noted", dropped["changed"], "sign_off"
    )
