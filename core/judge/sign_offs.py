"""What a sign-off saw, its digest, and whether it still holds against what is seen now."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache
from itertools import repeat
from math import isnan
from typing import Any

import numpy as np
import pandas as pd

from core import records, words
from core.criteria import EDITION, FINDING
from core.criteria.earlier_words import id_of
from core.criteria.findings import Findings, other_findings
from core.criteria.piles import SIGN_OFF_CHANGED
from core.criteria.settings import CRITERION_NOT_SET

MISSING = "not recorded"
UNSEEN = ("noted", "not yet due", "not required")  # results of which nothing rests on a number
PLACE = ("position_id", "pile_type")
LOADS = ("design_compression_kn", "design_tension_kn", "load_basis", "load_nature")
LOAD_WORDS = {
    "design_compression_kn": "compression load",
    "design_tension_kn": "tension load",
    "load_basis": "load basis",
    "load_nature": "nature of the load",
}
_EDITION = r'^\{"edition":(\d+),'


@dataclass(frozen=True)
class Unjudged:
    """What a sign-off of an earlier edition is not compared on, because nobody judged it then.

    ``kinds``: finding kinds, by ``kind_key``, whose result drops nothing; their limits do where
    ``limits``. ``loads``: the design loads in force when it was signed, where what it saw names
    none.
    """

    kinds: frozenset[str] = frozenset()
    limits: bool = True
    loads: tuple[tuple[str, str], ...] | None = None

    def with_loads(self, loads: tuple[tuple[str, str], ...] | None) -> Unjudged:
        """The same, with these loads."""
        return replace(self, loads=loads)


JUDGED_BY_ALL = Unjudged()


def kind_key(findings: pd.DataFrame) -> pd.Series:
    """Id of the kind of each finding; *criterion not set* with its criterion."""
    unset = findings["finding"].eq(CRITERION_NOT_SET.id)
    return findings["finding"].where(~unset, findings["finding"] + ": " + findings["part"])


def key_in_words(key: str) -> str:
    """A key of ``kind_key`` with the word that screens show in place of the id."""
    kind, colon, part = key.partition(": ")
    return (FINDING[kind].word if kind in FINDING else kind) + colon + part


def edition(seen: pd.Series) -> pd.Series:
    """Edition of the finding kinds by which each sign-off was judged; 1 where it names none."""
    return seen.str.extract(_EDITION, expand=False).astype("Int64").fillna(1).astype(int)


def what_is_seen(
    findings: pd.DataFrame, measures: pd.DataFrame, pile_ids: list[str]
) -> pd.DataFrame:
    """One row per pile: pile_id, seen (canonical JSON) and digest.

    Seen are the position and type, design loads, measured values, limits and results, in store
    units at the precision of ``records.MEASURES``; file names, entries and notes are not. A
    finding is its id, result, measured value, limit, sense and the column that names its unit.
    """
    results = _results(findings[findings["pile_id"].isin(pile_ids)], pile_ids)
    piles = measures.set_index("pile_id").loc[pile_ids]
    numbers = _numbers(piles)
    places = piles[list(PLACE)].fillna("").to_dict("records")
    rows = zip(pile_ids, numbers, places, loads_as_seen(piles), strict=True)
    seen = [
        json.dumps(
            {"edition": EDITION, "findings": results[pile], "loads": loads,
             "measures": values, "pile": place},
            ensure_ascii=False, sort_keys=True, separators=(",", ":"),
        )
        for pile, values, place, loads in rows
    ]  # fmt: skip
    digests = [hashlib.sha256(text.encode()).hexdigest() for text in seen]
    return pd.DataFrame({"pile_id": pile_ids, "seen": seen, "digest": digests}, dtype="str")


def loads_as_seen(rows: pd.DataFrame) -> list[dict[str, str]]:
    """Per row of a schedule its design loads as a sign-off keeps them."""
    numbers = [_printed(rows[name], repeat(1, len(rows))) for name in LOADS[:2]]
    texts = [rows[name].fillna("").tolist() for name in LOADS[2:]]
    return [dict(zip(LOADS, row, strict=True)) for row in zip(*numbers, *texts, strict=True)]


def _results(findings: pd.DataFrame, pile_ids: list[str]) -> dict[str, list[list[str]]]:
    """Per pile what a sign-off keeps of each finding seen, by kind."""
    decided = findings[~findings["result"].isin(UNSEEN)]
    decided = decided.sort_values(["pile_id", "finding", "subject"], kind="stable")
    decimals = [_decimals(unit) for unit in decided["unit_column"]]
    told = zip(
        kind_key(decided),
        decided["result"],
        _printed(decided["measured"], decimals),
        _printed(decided["limit_value"], decimals),
        decided["sense"],
        decided["unit_column"],
        strict=True,
    )
    results: dict[str, list[list[str]]] = {pile: [] for pile in pile_ids}
    for pile, row in zip(decided["pile_id"], told, strict=True):
        results[pile].append(list(row))
    return results


def _numbers(piles: pd.DataFrame) -> list[dict[str, str]]:
    """Per row of ``piles`` its measures as printed, by name."""
    names = [measure.name for measure in records.MEASURES if measure.name not in LOADS]
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


def standing_sign_offs(
    sign_offs: pd.DataFrame, seen_now: pd.DataFrame, unjudged: list[Unjudged] | None = None
) -> pd.DataFrame:
    """``sign_offs`` with stands (nothing has worsened since) and changed (what has, in words).

    ``unjudged``: what each is not compared on; every one on everything when there is none.
    """
    frame = sign_offs.merge(
        seen_now.rename(columns={"seen": "seen_now", "digest": "digest_now"}),
        left_on="subject",
        right_on="pile_id",
        how="left",
    )
    each = unjudged if unjudged is not None else [JUDGED_BY_ALL] * len(frame)
    rows = zip(frame["seen"], frame["seen_now"], each, strict=True)
    changed = ["" if then == now else _changed(then, now, of) for then, now, of in rows]
    frame["changed"] = pd.Series(changed, index=frame.index, dtype="str")
    frame["stands"] = frame["changed"].eq("")
    frame["unjudged"] = pd.Series([of.kinds for of in each], index=frame.index, dtype=object)
    return frame


def _changed(then: str, now: Any, unjudged: Unjudged) -> str:
    return differences(then, now, unjudged) if isinstance(now, str) else "the pile is gone"


def differences(then: str, now: str, unjudged: Unjudged = JUDGED_BY_ALL) -> str:
    """What has worsened between two things seen, for people; empty when nothing has.

    Worse are: another position or type, a load that rises or is added, a result that asks for
    more, a limit that tightens, and a measured value that moves adversely. A finding that is gone,
    was not there and is met, or moves to the better is not.
    """
    before, after = json.loads(then), json.loads(now)
    changed = [
        f"{name.removesuffix('_id').replace('_', ' ')} {old} → {after['pile'].get(name)}"
        for name, old in before["pile"].items()
        if old != after["pile"].get(name)
    ]
    loads = before.get("loads", dict(unjudged.loads or ()))
    changed += _worse_loads(loads, after["loads"])
    moved = _worse_measures(before["measures"], after["measures"])
    changed += [f"{word} {old} → {new}" for word, (old, new) in moved.items()]
    changed += _worse_findings(
        _by_kind(before["findings"]), _by_kind(after["findings"]), unjudged, set(moved.values())
    )
    return "; ".join(changed)


def _worse_loads(before: Mapping[str, str], after: Mapping[str, str]) -> list[str]:
    """Loads that rise or are added. Another basis or nature is not comparable, so it counts."""
    changed = []
    for name in LOADS[:2]:
        old, new = before.get(name), after[name]
        if old is None or new == MISSING or float(new) <= 0:
            continue
        if old == MISSING or float(old) <= 0:
            changed.append(f"{LOAD_WORDS[name]} added: {new} kN")
        elif float(new) > float(old):
            changed.append(f"{LOAD_WORDS[name]} {old} → {new} kN")
    kept = any(after[name] not in (MISSING, "0.0") for name in LOADS[:2])
    for name in LOADS[2:]:
        old, new = before.get(name), after[name]
        if kept and old and old != new:
            changed.append(f"{LOAD_WORDS[name]} {old} → {new or MISSING}")
    return changed


def _worse_measures(
    before: Mapping[str, str], after: Mapping[str, str]
) -> dict[str, tuple[str, str]]:
    """By word the values of each measure that has moved adversely."""
    moved = {}
    for name, old in before.items():
        new = after.get(name, MISSING)
        if old == new or MISSING in (old, new):
            continue
        measure = records.MEASURE[name]
        if measure.adverse in ("up", "down") and _rises(old, new, measure.adverse == "up"):
            moved[measure.word] = (old, new)
    return moved


def _rises(old: str, new: str, upward: bool = True) -> bool:
    """Whether ``new`` is above ``old`` (below it where not ``upward``) as the coarser prints it."""
    places = min(len(text.partition(".")[2]) for text in (old, new))
    step = round(float(new), places) - round(float(old), places)
    return step > 0 if upward else step < 0


def _worse_findings(
    before: Mapping[str, list[str]],
    after: Mapping[str, list[str]],
    unjudged: Unjudged,
    told: set[tuple[str, str]],
) -> list[str]:
    """Findings of which the result, the limit or the measured value is worse; ``told``: values."""
    changed = []
    for word, kind in sorted((key_in_words(kind), kind) for kind in after):
        new, old, known = after[kind], before.get(kind), kind not in unjudged.kinds
        result_was = old[1] if old else "absent"
        if known and _rank(new[1]) > _rank(result_was):
            changed.append(f"{word}: {result_was} → {new[1]}")
        elif (
            old and old[:4] != new[:4] and _numbers_worse(old, new, known or unjudged.limits, told)
        ):
            changed.append(f"{word}: {' against '.join(old[2:4])} → {' against '.join(new[2:4])}")
    return changed


def _numbers_worse(
    old: list[str], new: list[str], limits: bool, told: set[tuple[str, str]]
) -> bool:
    """Whether the limit of a finding has tightened or its measured value come nearer to it."""
    (was, limit_was), (measured, limit) = old[2:4], new[2:4]
    if MISSING in (measured, limit):
        return False
    sense, sense_was = new[4], _sense_then(old, new[4])
    if not sense:
        return False
    if MISSING not in (was, limit_was) and sense_was != sense:  # other side of a two-sided limit
        return _rises(_margin(was, limit_was), _margin(measured, limit), upward=False)
    if limits and limit_was != MISSING and _rises(limit_was, limit, sense == "at least"):
        return True
    named = records.MEASURE.get(new[5])
    compared = named is None or named.adverse != "neither"
    compared &= was != MISSING and (was, measured) not in told
    return compared and _rises(was, measured, sense == "at most")


def _sense_then(old: list[str], sense: str) -> str:
    """The sense of a finding seen; one of the first edition was met, so its numbers show it."""
    if len(old) > 4:
        return old[4]
    if MISSING in old[2:4] or float(old[2]) == float(old[3]):
        return sense
    return "at least" if float(old[2]) > float(old[3]) else "at most"


def _margin(measured: str, limit: str) -> str:
    places = min(len(text.partition(".")[2]) for text in (measured, limit))
    return f"{abs(float(measured) - float(limit)):.{places}f}"


@cache
def _rank(result: str) -> int:
    """How much ``result`` asks for: 0 when it leaves the state of a pile as it is."""
    state = words.RESULT_STATE.get(result)
    return 0 if state is None else len(words.STATES) - words.STATE_ORDER[state]


def _by_kind(rows: list[list[str]]) -> dict[str, list[str]]:
    """Per kind (``kind_key``) the row whose result asks for most."""
    found: dict[str, list[str]] = {}
    for row in rows:
        kind = id_of(row[0])
        if kind not in found or _rank(row[1]) > _rank(found[kind][1]):
            found[kind] = row
    return found


def outside_sign_offs(findings: pd.DataFrame, stands: pd.DataFrame) -> pd.DataFrame:
    """Findings that ask for a state and that the standing sign-off of their pile does not judge.

    ``stands``: one sign-off per subject. They are shown and leave the state as it is.
    """
    older = stands[stands["unjudged"].map(bool).astype(bool)]
    unjudged = dict(zip(older["subject"], older["unjudged"], strict=True))
    asking = findings[findings["pile_id"].isin(unjudged)]
    asking = asking[asking["result"].map(_rank) > 0]
    pairs = zip(asking["pile_id"], kind_key(asking), strict=True)
    outside = np.array([kind in unjudged[pile] for pile, kind in pairs], dtype=bool)
    return asking[outside]


def changed_findings(standing: pd.DataFrame) -> Findings:
    """One *noted* finding per sign-off that dropped because what it saw has worsened."""
    dropped = standing[~standing["stands"] & standing["pile_id"].notna()]
    return other_findings(
        dropped["pile_id"].tolist(), SIGN_OFF_CHANGED, "noted", dropped["changed"].tolist(),
        "sign_off", part=dropped["role"].tolist(),
    )  # fmt: skip
