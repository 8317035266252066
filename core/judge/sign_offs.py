"""What a sign-off saw, its digest, and whether it still stands."""

from __future__ import annotations

import hashlib
import json
from typing import Any

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
    decided = findings[findings["pile_id"].isin(pile_ids) & ~findings["result"].isin(UNSEEN)]
    decided = decided.sort_values(["pile_id", "kind", "subject"], kind="stable")
    results: dict[str, list[list[object]]] = {pile: [] for pile in pile_ids}
    columns = ["pile_id", "kind", "result", "measured", "limit_value", "unit_column"]
    for pile, kind, result, measured, limit, unit in decided[columns].itertuples(index=False):
        decimals = _decimals(unit)
        results[str(pile)].append(
            [kind, result, _printed(measured, decimals), _printed(limit, decimals)]
        )
    names = [measure.name for measure in records.MEASURES]
    numbers = measures[measures["pile_id"].isin(pile_ids)].set_index("pile_id")[names]
    served = measures.set_index("pile_id")[["position_id", "pile_type"]].fillna("")
    rows = []
    for pile in pile_ids:
        values = {
            name: _printed(numbers.loc[pile, name], records.MEASURE[name].decimals)
            for name in names
        }
        seen = json.dumps(
            {"findings": results[pile], "measures": values, "pile": served.loc[pile].to_dict()},
            ensure_ascii=False, sort_keys=True, separators=(",", ":"),
        )  # fmt: skip
        rows.append((pile, seen, hashlib.sha256(seen.encode()).hexdigest()))
    return pd.DataFrame(rows, columns=pd.Index(["pile_id", "seen", "digest"]), dtype="str")


def _decimals(unit_column: Any) -> int:
    measure = records.MEASURE.get(unit_column)
    return measure.decimals if measure else 3


def _printed(value: Any, decimals: int) -> str:
    return MISSING if value is None or pd.isna(value) else f"{value:.{decimals}f}"


def standing_sign_offs(sign_offs: pd.DataFrame, seen_now: pd.DataFrame) -> pd.DataFrame:
    """``sign_offs`` with stands (what it saw still holds) and changed (in words)."""
    frame = sign_offs.merge(
        seen_now.rename(columns={"seen": "seen_now", "digest": "digest_now"}),
        left_on="subject",
        right_on="pile_id",
        how="left",
    )
    pairs = zip(frame["seen"], frame["seen_now"], strict=True)
    changed = [
        "the pile is gone" if not isinstance(now, str) else differences(then, now)
        for then, now in pairs
    ]
    frame["changed"] = pd.Series(changed, index=frame.index, dtype="str")
    frame["stands"] = frame["changed"].eq("")
    return frame


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
