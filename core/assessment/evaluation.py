"""Evaluation of a snapshot apart from its sign-offs: measures and findings.

It stays as it is until an entry of a kind that it rests on; a sign-off alone does not touch it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterator
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from pathlib import Path

import numpy as np

from core.assessment import cache, due, evidence
from core.assessment import findings as judging
from core.assessment.cited_rows import CitedRows
from core.assessment.measuring import Measured
from core.assessment.measuring.job import Job
from core.assessment.sign_offs import Compared, kind_keys, what_is_seen
from core.assessment.snapshot import Snapshot, load_snapshot
from core.assessment.states import Dated
from core.criteria.columns import Array, Columns, Days, SomeRows, Texts, text_array
from core.criteria.findings import Findings
from core.subjects.registry import CRITERIA, MAKERS, RULES
from core.subjects.survey.rules import due_when_covered


@dataclass(frozen=True)
class Evaluation:
    """Measures, the rows that they rest on, and every finding but those about sign-offs."""

    numbers: Measured
    cited_rows: CitedRows
    found: Findings
    _seen: dict[str, tuple[str, str]] = field(default_factory=dict, repr=False, compare=False)
    _compared: dict[Hashable, Compared] = field(default_factory=dict, repr=False, compare=False)

    def seen(self, piles: list[str]) -> dict[str, tuple[str, str]]:
        """What a sign-off of each of ``piles`` sees, with its digest; worked out once a pile."""
        new = [pile for pile in piles if pile not in self._seen]
        if new:
            self._seen.update(
                zip(new, what_is_seen(self.found, self.numbers.of_piles, new), strict=True)
            )
        return {pile: self._seen[pile] for pile in piles}

    def compared(self, key: Hashable, make: Callable[[], Compared]) -> Compared:
        """What came of comparing the sign-offs that ``key`` names, or ``make`` of it now."""
        if key not in self._compared:
            self._compared.clear()
            self._compared[key] = make()
        return self._compared[key]

    @cached_property
    def measures_of(self) -> dict[str, frozenset[str]]:
        """Names under which the rows behind each kind of finding (``kind_keys``) are cited."""
        found = self.found.where(self.found.is_text("subject_kind", "pile"))
        (codes, keys), names = kind_keys(found), found.texts("measure")
        pairs = np.unique(codes.astype(np.int64) * len(names) + found.codes("measure"))
        named: dict[str, set[str]] = defaultdict(set)
        for pair in pairs.tolist():
            named[keys[pair // len(names)]].add(names[pair % len(names)])
        return {key: frozenset(of) for key, of in named.items()}

    @cached_property
    def waiting(self) -> dict[str, tuple[tuple[str, frozenset[str]], ...]]:
        """Per pile the kinds of finding that wait for parameters of project.toml, with these."""
        found = self.found.where(~self.found.is_text("parameter", ""))
        waits: dict[str, list[tuple[str, frozenset[str]]]] = defaultdict(list)
        codes, keys = kind_keys(found)
        rows = zip(found.text("pile_id"), codes.tolist(), found.text("parameter"), strict=True)
        for pile, kind, parameters in rows:
            waits[pile].append((keys[kind], frozenset(parameters.split(", "))))
        return {pile: tuple(kinds) for pile, kinds in waits.items()}


def load_and_evaluate(folder: Path, as_of: int | date | None) -> tuple[Snapshot, Evaluation]:
    """The snapshot and its evaluation, made once while no newer entry touches it.

    Raises as ``load_snapshot``.
    """
    known = load_snapshot(folder, as_of)
    rest = (known.project.digest, known.on)
    return known, cache.evaluation(folder, known.last_entries, rest, lambda: evaluated(known))


def evaluated(known: Snapshot) -> Evaluation:
    """The evaluation of ``known``."""
    numbers = Measured(known)
    rows = evidence.rows_of_measures(numbers, known)
    return Evaluation(numbers, rows, _findings(known, numbers))


def _findings(known: Snapshot, numbers: Measured) -> Findings:
    piles, on = _of_piles(numbers), np.datetime64(known.on, "us")
    ids = piles.text("pile_id")
    row = _rows_of_types(list(known.project.tables.types), piles.text("pile_type"))
    days = due.first_days(len(ids), *_reached(ids, numbers.reached.until(on)))
    criteria = {
        name: due.with_due(known.project.criterion(name), row, days, on) for name in CRITERIA
    }
    criteria["survey_reviewed"] = due_when_covered(
        criteria["survey_reviewed"], piles.day("covered_on"), on
    )
    sets = text_array([*known.project.criteria_sets(), ""])[row]
    unset = judging.criteria_not_set(criteria, ids, due.at_work(days), sets)
    return judging.sorted_findings(_parts(Job(known, numbers, piles, criteria), sets, unset))


def _parts(job: Job, sets: Texts, unset: Findings) -> Iterator[Findings]:
    """Findings of rules and of makers, of which nobody keeps what is handed on.

    ``sets``: criteria set of each pile; ``unset``: findings about criteria that are not set.
    """
    ruled = judging.findings_of_rules(RULES, job.piles, job.criteria, job.records)
    yield ruled
    yield judging.parameters_not_set(ruled, sets)
    yield unset
    for made in MAKERS:
        yield made(*job.given(made))


def _of_piles(numbers: Measured) -> Columns:
    """The rows that are about a pile; those of positions that no pile serves stand behind them."""
    number = np.count_nonzero(numbers.tables.rows.has("pile_id"))
    return SomeRows(numbers.of_piles, slice(0, number))


def _rows_of_types(types: list[str], of_piles: Texts) -> Array:
    """Place of each pile's type among ``types``; one past the last for an unknown type."""
    place = {mark: at for at, mark in enumerate(types)}
    return np.array([place.get(mark, len(types)) for mark in of_piles.tolist()], dtype=np.int64)


def _reached(piles: Texts, reached: Dated) -> tuple[Array, Array, Days]:
    """Place of the pile, order of the stage and day, of every stage reached."""
    place = {pile: at for at, pile in enumerate(piles.tolist())}
    return reached.among(place), reached.word, reached.day
