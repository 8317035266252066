"""Findings of all rules over all piles, criteria that are not set, and when evidence falls due."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

import numpy as np

from core import words
from core.criteria.cases import Cases, PileCriterion, no_records
from core.criteria.columns import Array, Columns, Days, Mask, RowColumns, Texts, text_array
from core.criteria.findings import (
    VOCABULARIES,
    Findings,
    Vocabulary,
    empty_columns,
    no_findings,
    other_findings,
)
from core.criteria.kinds import CRITERION_NOT_SET, PARAMETER_NOT_SET, FindingKind, Rule
from core.criteria.outcomes import SENSE, Outcome
from core.records.current_rows import CurrentRows
from core.subjects.registry import FINDING

DAY_US = np.timedelta64(1, "D") // np.timedelta64(1, "us")
_NEVER = np.datetime64("NaT", "us")


def first_days(piles: int, pile: Array, stage: Array, reached_on: Days) -> Days:
    """First day on which each pile stood at each stage or past it; piles × stages, NaT: never.

    One row per pile and stage reached: the place of the pile (-1: none of these), the order of the
    stage and its day.
    """
    number = len(words.STAGES)
    last = np.iinfo(np.int64).max
    days = np.full(piles * number, last)
    known = (pile >= 0) & ~np.isnat(reached_on)
    at = pile[known] * number + stage[known].astype(np.int64)
    np.minimum.at(days, at, reached_on[known].astype("datetime64[us]").astype(np.int64))
    first = np.minimum.accumulate(days.reshape(piles, number)[:, ::-1], axis=1)[:, ::-1]
    found: Days = np.where(first == last, _NEVER, first.astype("datetime64[us]"))
    return found


def at_work(days: Days) -> Mask:
    """Whether each pile ever stood at *installing* or past it; ``days`` come of ``first_days``."""
    found: Mask = ~np.isnat(days[:, words.STAGE_ORDER["installing"]])
    return found


def with_due(settings: RowColumns, row: Array, days: Days, on: np.datetime64) -> PileCriterion:
    """A criterion beside each pile: due from the first day at its stage or past it, plus a delay.

    ``settings``: one row per pile type and a last one, empty; ``row``: that of each pile's type;
    ``days`` come of ``first_days``.
    """
    stages = settings.text("due").tolist()
    order = np.array([words.STAGE_ORDER.get(stage, -1) for stage in stages], dtype=np.int64)
    delay = np.nan_to_num(settings.numbers("due_after_days")) * DAY_US
    own = order[row]
    first = np.where(own >= 0, days[np.arange(len(row)), own], _NEVER)
    due_on = first + delay.astype("timedelta64[us]")[row]
    return PileCriterion(settings, row, due_on, due_on <= on)


TEXTS = ("note", "item", "run", "part", "parameter")
WITHHELD = ("met", "noted", "waiting")  # results that a missing parameter leaves without evidence


def findings_of_rules(
    rules: Sequence[Rule],
    piles: Columns,
    criteria: Mapping[str, PileCriterion],
    records_of: Callable[[str], CurrentRows] = no_records,
) -> Findings:
    """Findings of all ``rules``, rule after rule.

    One per rule and pile whose type sets the rule's criterion or needs it not. ``criteria`` come
    of ``due.with_due``, by name, each pile by pile beside ``piles``, the pile measures.
    ``records_of``: current rows of a record kind up to the day of assessment.
    """
    collected = _Collected(piles.text("pile_id"))
    cases: dict[str, Cases] = {}
    for rule in rules:
        own = criteria[rule.criterion]
        if not (own.before_due >= 0).any():
            continue
        decided = None
        if len(own.due_at):
            if rule.criterion not in cases:
                cases[rule.criterion] = Cases(piles, own, records_of)
            decided = rule.decide(cases[rule.criterion])
            _withhold(missing_parameters(rule.kind.needs, criteria, own.due_at), decided)
        collected.add(rule.kind, own, decided)
    return collected.findings()


class _Collected:
    """The columns of findings, to which rule after rule adds its own.

    What a rule leaves out of a column has the column's default.
    """

    def __init__(self, piles: Texts) -> None:
        self._piles = len(piles)
        self._vocabularies = {name: Vocabulary([""]) for name in VOCABULARIES}
        self._vocabularies["finding"] = Vocabulary()
        self._vocabularies["subject"] = Vocabulary(piles.tolist())
        self._kinds: dict[str, str] = {}
        self._parts: list[tuple[int, dict[str, Any]]] = []  # where each begins, its own columns
        self._number = 0

    def add(self, kind: FindingKind, criterion: PileCriterion, decided: Outcome | None) -> None:
        """Add the findings of one rule, which ``decided`` of the piles of which it is due."""
        at = criterion.due_at
        result = criterion.before_due
        if decided is not None:
            result = self._spread(decided.result, at, result)
        kept = np.flatnonzero(result >= 0)
        if not len(kept):
            return
        own: dict[str, Any] = {"result": result, "due_on": criterion.due_on}
        own["clause"] = self._codes("clause", criterion.settings.text("clause"))[criterion.row]
        if decided is not None:
            self._add_decided(own, decided, at, SENSE[kind.sense])
        if len(kept) < self._piles:
            own = {name: values[kept] for name, values in own.items()}
        own["subject"] = kept
        self._kinds[kind.id] = kind.word
        own["finding"] = self._vocabularies["finding"].code(kind.id)
        own["unit_column"] = self._vocabularies["unit_column"].code(kind.unit_column)
        own["measure"] = self._vocabularies["measure"].code(kind.measure)
        own.setdefault("sense", SENSE[kind.sense])
        self._parts.append((self._number, own))
        self._number += len(kept)

    def _add_decided(self, own: dict[str, Any], decided: Outcome, at: Array, sense: int) -> None:
        own["measured"] = self._spread(decided.measured, at, np.nan)
        own["limit_value"] = self._spread(decided.limit_value, at, np.nan)
        if decided.uncertainty is not None:
            own["uncertainty"] = self._spread(decided.uncertainty, at, np.nan)
        if decided.sense is not None:
            own["sense"] = self._spread(decided.sense, at, sense)
        if decided.due_on is not None:
            due_on = np.where(np.isnat(decided.due_on), own["due_on"][at], decided.due_on)
            own["due_on"] = self._spread(due_on, at, own["due_on"])
        for name in TEXTS:
            coded = decided.coded(name)
            if coded is not None:
                codes, texts = coded
                own[name] = self._spread(self._codes(name, texts)[codes], at, 0)

    def _codes(self, name: str, texts: Any) -> Array:
        return self._vocabularies[name].codes(texts)

    def _spread(self, values: Array, at: Array, otherwise: Any) -> Array:
        """``values`` of the piles ``at``, and what the others have ``otherwise``."""
        if len(at) == self._piles:
            return values
        spread = np.empty(self._piles, dtype=values.dtype)
        spread[:] = otherwise
        spread[at] = values
        return spread

    def findings(self) -> Findings:
        """All findings that were added; what rules gave is let go of one after the other."""
        self._vocabularies["subject_kind"] = Vocabulary(["pile"])
        columns = empty_columns(self._number)
        while self._parts:
            begin, own = self._parts.pop()
            end = begin + len(own["subject"])
            for name, values in own.items():
                columns[name][begin:end] = values
        columns["pile_id"] = columns["subject"]
        return Findings(columns, self._vocabularies, self._kinds)


def missing_parameters(
    needs: Sequence[str], criteria: Mapping[str, PileCriterion], at: Array
) -> Texts | None:
    """Of each pile ``at`` the names in ``needs`` that its set criteria lack, with commas.

    None where no pile lacks any.
    """
    found: Texts | None = None
    for name in needs:
        key, _, parameter = name.partition(".")
        criterion = criteria[key]
        lacks = criterion.lacks(parameter)[at]
        if lacks.any():
            own = np.where(lacks, name, "").astype(object)
            between = "" if found is None else np.where((found != "") & lacks, ", ", "")
            found = own if found is None else found + between + own
    return found


def _withhold(missing: Texts | None, decided: Outcome) -> None:
    """Leave a rule that is due without evidence where a parameter that it needs is missing."""
    if missing is None:
        return
    unexplained = decided.has("no evidence") & decided.lacks("note")
    waits = (missing != "") & (decided.has(*WITHHELD) | unexplained)
    decided.put(
        waits, "no evidence", note=lambda at: missing[at] + " is not set in project.toml",
        parameter=missing,
    )  # fmt: skip


def parameters_not_set(findings: Findings, sets: Texts) -> Findings:
    """One *no evidence* finding per criteria set and parameter that findings of its piles lack.

    ``sets``: the criteria set of each judged pile. Findings that wait for a parameter name it in
    ``parameter``.
    """
    piles: dict[tuple[str, str], set[int]] = {}
    for names in findings.texts("parameter"):
        if not names:
            continue
        waits = findings.codes("pile_id")[findings.is_text("parameter", names)]
        for pile in np.unique(waits).tolist():
            for name in names.split(", "):
                piles.setdefault((sets[pile], name), set()).add(pile)
    rows = sorted((name, parameter, len(own)) for (name, parameter), own in piles.items() if name)
    names_, parameters = [row[0] for row in rows], [row[1] for row in rows]
    note = [
        f"{name} is not set in project.toml; affects {number} pile{'' if number == 1 else 's'}"
        for _, name, number in rows
    ]
    return other_findings(
        names_, PARAMETER_NOT_SET, "no evidence", note, parameters,
        subject_kind="criteria set", part=parameters,
    )  # fmt: skip


def criteria_not_set(
    criteria: Mapping[str, PileCriterion], piles: Texts, at_work: Mask, sets: Texts
) -> Findings:
    """One *no evidence* finding per pile at work and criterion about which its type is silent.

    They share one item per criteria set; ``sets``: of each pile, "" for an unknown type.
    """
    subject, measure, word, item = list[Texts](), list[str](), list[str](), list[Texts]()
    for name, criterion in criteria.items():
        silent = np.flatnonzero(criterion.has_status("not set") & at_work)
        subject.append(piles[silent])
        measure += [name] * len(silent)
        word += [name.replace("_", " ")] * len(silent)
        item.append(sets[silent])
    if not word:
        return no_findings()
    words_ = text_array(word)
    set_of = np.concatenate(item)
    return other_findings(
        np.concatenate(subject),
        CRITERION_NOT_SET,
        "no evidence",
        note=words_ + " is neither set nor declared not required",
        measure=measure,
        item=np.where(set_of == "", "", set_of + ": " + words_),
        part=measure,
    )


def sorted_findings(parts: Iterable[Findings]) -> Findings:
    """All findings in one, worst result first, then by kind in the order of lists."""
    found = Findings.joined(list(parts))
    ranks = {name: rank for rank, name in enumerate(FINDING)}
    rank = np.array([ranks.get(one, len(ranks)) for one in found.texts("finding")], dtype=np.int32)
    key = found.codes("result") * np.int32(len(ranks) + 1) + rank[found.codes("finding")]
    if (key[1:] >= key[:-1]).all():
        return found
    small = key.astype(np.int16) if key.max() <= np.iinfo(np.int16).max else key
    return found.take(np.argsort(small, kind="stable"))
