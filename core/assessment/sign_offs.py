"""What a sign-off saw, its digest, and whether it still holds against what is seen now."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache, cached_property
from itertools import repeat
from math import isnan

import numpy as np

from core import records, words
from core.criteria.columns import Array, Columns, Mask
from core.criteria.earlier_names import id_of, present_name
from core.criteria.findings import Findings, other_findings
from core.criteria.kinds import CRITERION_NOT_SET, EDITION
from core.records.current_rows import CurrentRows
from core.subjects.piles.rules import SIGN_OFF_CHANGED
from core.subjects.registry import FINDING

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
_EDITION = re.compile(r'\{"edition":(\d+),')


@dataclass(frozen=True)
class NotCompared:
    """What a sign-off of an earlier edition is not compared on, because nobody judged it then.

    ``kinds``: finding kinds, by ``kind_key``, whose result drops nothing; their limits do where
    ``limits``. ``loads``: the design loads in force when it was signed, where what it saw names
    none.
    """

    kinds: frozenset[str] = frozenset()
    limits: bool = True
    loads: tuple[tuple[str, str], ...] | None = None

    def with_loads(self, loads: tuple[tuple[str, str], ...] | None) -> NotCompared:
        """The same, with these loads."""
        return replace(self, loads=loads)


JUDGED_BY_ALL = NotCompared()


def kind_keys(found: Findings) -> tuple[Array, list[str]]:
    """Per finding the place of the key of its kind, and the keys: ids of kinds, and *criterion not
    set* with its criterion.
    """
    keys, codes = list(found.texts("finding")), found.codes("finding")
    unset = found.is_text("finding", CRITERION_NOT_SET.id)
    if unset.any():
        codes = np.where(unset, len(keys) + found.codes("part"), codes)
        keys += [f"{CRITERION_NOT_SET.id}: {part}" for part in found.texts("part")]
    return codes, keys


def key_in_words(key: str) -> str:
    """A key of ``kind_key`` with the word that screens show in place of the id."""
    kind, colon, part = key.partition(": ")
    return (FINDING[kind].word if kind in FINDING else kind) + colon + part


def edition(seen: str) -> int:
    """Edition of the finding kinds by which a sign-off was judged; 1 where it names none."""
    found = _EDITION.match(seen)
    return int(found[1]) if found else 1


def signed_content(
    found: Findings, measures: Columns, pile_ids: list[str]
) -> list[tuple[str, str]]:
    """What a sign-off of each of ``pile_ids`` sees (canonical JSON), with its digest.

    Seen are the position and type, design loads, measured values, limits and results, in store
    units at the precision of ``records.MEASURES``; file names, entries and notes are not. A
    finding is its id, result, measured value, limit, sense and the column that names its unit.
    """
    results = _results(found, pile_ids)
    place = {pile: at for at, pile in enumerate(measures.text("pile_id").tolist())}
    at = np.array([place[pile] for pile in pile_ids], dtype=np.int64)
    numbers = _numbers(measures, at)
    where = [measures.text(name)[at].tolist() for name in PLACE]
    places = [dict(zip(PLACE, row, strict=True)) for row in zip(*where, strict=True)]
    loads = loads_at_signing(measures, at)
    seen = [
        json.dumps(
            {"edition": EDITION, "findings": own, "loads": load, "measures": values, "pile": pile},
            ensure_ascii=False, sort_keys=True, separators=(",", ":"),
        )
        for own, values, pile, load in zip(results, numbers, places, loads, strict=True)
    ]  # fmt: skip
    return [(text, hashlib.sha256(text.encode()).hexdigest()) for text in seen]


def loads_at_signing(rows: Columns, at: Array) -> list[dict[str, str]]:
    """Design loads of the rows of a schedule at some places, as a sign-off keeps them."""
    numbers = [_printed(rows.numbers(name)[at], repeat(1, len(at))) for name in LOADS[:2]]
    texts = [rows.text(name)[at].tolist() for name in LOADS[2:]]
    return [dict(zip(LOADS, row, strict=True)) for row in zip(*numbers, *texts, strict=True)]


def _results(found: Findings, pile_ids: list[str]) -> list[list[list[str]]]:
    """Per pile what a sign-off keeps of each finding seen, by kind."""
    place = {pile: at for at, pile in enumerate(pile_ids)}
    piles = np.array([*(place.get(pile, -1) for pile in found.texts("pile_id")), -1])
    seen = found.where((piles[found.codes("pile_id")] >= 0) & ~found.is_text("result", *UNSEEN))
    ids = found.texts("finding")
    rank = np.argsort(np.argsort(np.array(ids, dtype=object))) if ids else np.array([], dtype=int)
    pile = piles[seen.codes("pile_id")]
    order = np.lexsort((rank[seen.codes("finding")], pile))
    seen, pile = seen.take(order), pile[order]
    codes, keys = kind_keys(seen)
    decimals = [_decimals(unit) for unit in seen.text("unit_column")]
    rows = zip(
        [keys[code] for code in codes.tolist()],
        seen.text("result"),
        _printed(seen.values("measured"), decimals),
        _printed(seen.values("limit_value"), decimals),
        seen.text("sense"),
        seen.text("unit_column"),
        strict=True,
    )
    results: list[list[list[str]]] = [[] for _ in pile_ids]
    for at, row in zip(pile.tolist(), rows, strict=True):
        results[at].append(list(row))
    return results


def _numbers(piles: Columns, at: Array) -> list[dict[str, str]]:
    """Of the rows of ``piles`` at some places their measures as printed, by name."""
    names = [measure.name for measure in records.MEASURES if measure.name not in LOADS]
    columns = [
        _printed(piles.numbers(name)[at], repeat(records.MEASURE[name].decimals, len(at)))
        for name in names
    ]
    return [dict(zip(names, row, strict=True)) for row in zip(*columns, strict=True)]


@cache
def _decimals(unit_column: str) -> int:
    measure = records.MEASURE.get(unit_column)
    return measure.decimals if measure else 3


def _printed(values: Array, decimals: Iterable[int]) -> list[str]:
    """Each number of ``values`` with its decimals."""
    pairs = zip(values.tolist(), decimals, strict=True)
    return [MISSING if isnan(number) else f"{number:.{places}f}" for number, places in pairs]


@dataclass(frozen=True, eq=False)
class Compared:
    """The sign-offs in the order of the ledger, each compared with what is seen now.

    ``subjects`` are their piles; ``gone`` marks those of which there is no pile. ``changed``: what
    has worsened since, in words, empty while nothing has; ``unjudged``: kinds of finding that each
    is not compared on; ``newer``: criteria and parameters that its settings leave unsaid.
    """

    rows: CurrentRows
    gone: list[bool]
    changed: list[str]
    unjudged: list[frozenset[str]]
    newer: list[frozenset[str]]

    @cached_property
    def subjects(self) -> list[str]:
        """The pile of each sign-off."""
        return self._texts("subject")

    @property
    def is_valid(self) -> list[bool]:
        """Whether nothing has worsened since each sign-off."""
        return [not changed for changed in self.changed]

    @cached_property
    def latest(self) -> dict[str, int]:
        """The last sign-off of each pile."""
        return {pile: at for at, pile in enumerate(self.subjects)}

    @cached_property
    def latest_valid(self) -> dict[str, int]:
        """The last sign-off that stands of each pile that has one."""
        return {pile: at for at, pile in enumerate(self.subjects) if not self.changed[at]}

    @property
    def persons(self) -> list[str]:
        """Who signed."""
        return self._texts("person")

    @property
    def roles(self) -> list[str]:
        """As what each was signed."""
        return self._texts("role")

    @property
    def signed_on(self) -> Array:
        """Day of each sign-off."""
        return self.rows.values("signed_on")

    @property
    def entry_no(self) -> Array:
        """Entry of each sign-off."""
        return self.rows.values("entry_no")

    def _texts(self, name: str) -> list[str]:
        texts = self.rows.texts(name)
        return [texts[code] for code in self.rows.codes(name).tolist()]


def compared(
    rows: CurrentRows,
    seen_now: Mapping[str, str],
    unjudged: list[NotCompared],
    newer: list[frozenset[str]],
) -> Compared:
    """The sign-offs ``rows`` compared with what is seen of each pile now.

    ``unjudged``: what each is not compared on.
    """
    (then, thens), (subject, subjects) = (
        (rows.codes(name).tolist(), rows.texts(name)) for name in ("seen", "subject")
    )
    now = [seen_now.get(subjects[code]) for code in subject]
    changed = [
        _changed(thens[code], seen, of) for code, seen, of in zip(then, now, unjudged, strict=True)
    ]
    gone = [seen is None for seen in now]
    return Compared(rows, gone, changed, [of.kinds for of in unjudged], newer)


def _changed(then: str, now: str | None, unjudged: NotCompared) -> str:
    if now is None:
        return "the pile is gone"
    return "" if then == now else differences(then, now, unjudged)


def differences(then: str, now: str, unjudged: NotCompared = JUDGED_BY_ALL) -> str:
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
    measures = {present_name(name): value for name, value in before["measures"].items()}
    moved = _worse_measures(measures, after["measures"])
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
    unjudged: NotCompared,
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


def not_covered_by_sign_offs(found: Findings, signed: Compared) -> Mask:
    """Findings that ask for a state and that the standing sign-off of their pile does not judge.

    They are shown and leave the state as it is.
    """
    outside = np.zeros(len(found), dtype=bool)
    older = {pile: at for pile, at in signed.latest_valid.items() if signed.unjudged[at]}
    if not older:
        return outside
    codes, keys = kind_keys(found)
    sign_off = np.array([*(older.get(pile, -1) for pile in found.texts("pile_id")), -1])
    own = sign_off[found.codes("pile_id")]
    at = np.flatnonzero((own >= 0) & _ASKS[found.codes("result")])
    pairs = zip(codes[at].tolist(), own[at].tolist(), strict=True)
    outside[at] = [keys[key] in signed.unjudged[one] for key, one in pairs]
    return outside


_ASKS = np.array([_rank(result) > 0 for result in words.RESULTS])


def changed_findings(signed: Compared) -> Findings:
    """One *noted* finding per sign-off that dropped because what it saw has worsened."""
    places = range(len(signed.changed))
    dropped = [at for at in places if signed.changed[at] and not signed.gone[at]]
    subjects, roles = signed.subjects, signed.roles
    return other_findings(
        [subjects[at] for at in dropped], SIGN_OFF_CHANGED, "noted",
        [signed.changed[at] for at in dropped], "sign_off", part=[roles[at] for at in dropped],
    )  # fmt: skip
