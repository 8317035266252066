"""Findings of a snapshot: cases of every criterion from measures, rules run on them, and kept."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from core import records
from core.assessment import cache
from core.assessment.evidence import CitedRows, rows_of_measures
from core.assessment.findings import (
    at_work,
    criteria_not_set,
    findings_of_rules,
    first_days,
    parameters_not_set,
    sorted_findings,
    with_due,
)
from core.assessment.measuring import Measured, TableColumns
from core.assessment.sign_offs import Compared, kind_keys, signed_content
from core.assessment.snapshot import Snapshot, load_snapshot
from core.assessment.states import Dated
from core.criteria.cases import PileCriterion
from core.criteria.columns import (
    Array,
    Columns,
    Days,
    FrameColumns,
    RecordColumns,
    SomeRows,
    Texts,
    text_array,
)
from core.criteria.findings import Findings
from core.criteria.kinds import Maker
from core.records.current_rows import CurrentRows
from core.selection import (
    grout_placements,
    readings_without_run,
    schedule_at_runs,
    schedule_for_construction,
    schedule_in_force,
)
from core.subjects.registry import CRITERIA, MAKERS, RULES
from core.subjects.survey.rules import due_when_covered
from core.subjects.survey.selection import covered_heads
from core.subjects.torque.events import texts_to_read
from core.subjects.torque.tables import Torque

# Tables by name; each is made when a maker takes it.
_TABLES: dict[str, Callable[[Snapshot, Measured], CurrentRows | Columns | pd.DataFrame]] = {
    "runs": lambda _, measured: measured.of_runs,
    "read_instruments": lambda _, measured: _read_instruments(measured.tables.torque),
    "surveys": lambda _, measured: measured.of_surveys,
    "work_after_runs": lambda _, measured: measured.after.frame("work", "done_on"),
    "texts_to_read": lambda _, measured: texts_to_read(measured.tables.torque.recorded_texts),
    "stamps_placed_again": lambda _, measured: measured.steel.again,
    "stamps_cut": lambda _, measured: measured.steel.cut,
    "use_of_lots": lambda _, measured: measured.steel.lots,
    "covered": lambda snapshot, _: covered_heads(snapshot.rows("stage_record"), snapshot.on),
    "grout_placements": lambda snapshot, _: snapshot.chosen(grout_placements),
    "readings_without_run": lambda snapshot, _: snapshot.chosen(readings_without_run),
    "rows_without_parent": lambda snapshot, _: snapshot.rows_without_parent,
    "schedule_in_force": lambda snapshot, _: snapshot.chosen(schedule_in_force),
    "schedule_rows": lambda snapshot, _: snapshot.chosen(schedule_for_construction),
    "schedule_at_runs": lambda snapshot, _: _schedule_at_runs(snapshot),
}


@dataclass(frozen=True)
class Job:
    """Current rows, measures and criteria of one assessment; ``criteria`` pile by pile.

    ``piles``: the measures of the piles that are judged.
    """

    snapshot: Snapshot
    measured: Measured
    piles: Columns
    criteria: Mapping[str, PileCriterion]
    _tables: dict[str, Any] = field(default_factory=dict, repr=False, compare=False)

    def given(self, maker: Maker) -> list[Any]:
        """What ``maker`` takes: see ``Maker.of``. Raises LookupError naming what there is."""
        return [self._table(name) for name in maker.of]

    def _table(self, name: str) -> Any:
        if name not in self._tables:
            self._tables[name] = self._made(name)
        return self._tables[name]

    def _made(self, name: str) -> Any:
        if name == "criteria":
            return self.criteria
        if name == "piles":
            return self.piles
        if name.startswith("criteria."):
            return self.criteria[name.removeprefix("criteria.")]
        if name in _TABLES:
            table = _TABLES[name](self.snapshot, self.measured)
        elif name in records.KIND:
            table = self.records(name)
        else:
            raise LookupError(f"no table {name}; there are {', '.join([*_TABLES, *records.KIND])}")
        if isinstance(table, CurrentRows):
            return RecordColumns(table)
        return FrameColumns(table) if isinstance(table, pd.DataFrame) else table

    def records(self, kind: str) -> CurrentRows:
        """Current rows of a record kind, up to the day of assessment where its rows have a day."""
        return self.snapshot.rows_until(kind)


def _read_instruments(torque: Torque) -> Columns:
    """The instruments that readings and certificates name, with counts of their rows."""
    return TableColumns(torque.read_instruments.rows, torque.read_instruments)


def _schedule_at_runs(snapshot: Snapshot) -> CurrentRows:
    """The last run of each pile until the day of assessment, with the schedule of its day."""
    then = snapshot.chosen(schedule_at_runs)
    return then.where(then.values("run_on") <= np.datetime64(snapshot.on, "us"))


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
                zip(new, signed_content(self.found, self.numbers.of_piles, new), strict=True)
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
    rows = rows_of_measures(numbers, known)
    return Evaluation(numbers, rows, _findings(known, numbers))


def _findings(known: Snapshot, numbers: Measured) -> Findings:
    piles, on = _of_piles(numbers), np.datetime64(known.on, "us")
    ids = piles.text("pile_id")
    row = _rows_of_types(list(known.project.tables.types), piles.text("pile_type"))
    days = first_days(len(ids), *_reached(ids, numbers.reached.until(on)))
    criteria = {name: with_due(known.project.criterion(name), row, days, on) for name in CRITERIA}
    criteria["survey_reviewed"] = due_when_covered(
        criteria["survey_reviewed"], piles.day("covered_on"), on
    )
    sets = text_array([*known.project.criteria_sets(), ""])[row]
    unset = criteria_not_set(criteria, ids, at_work(days), sets)
    return sorted_findings(_parts(Job(known, numbers, piles, criteria), sets, unset))


def _parts(job: Job, sets: Texts, unset: Findings) -> Iterator[Findings]:
    """Findings of rules and of makers, of which nobody keeps what is handed on.

    ``sets``: criteria set of each pile; ``unset``: findings about criteria that are not set.
    """
    ruled = findings_of_rules(RULES, job.piles, job.criteria, job.records)
    yield ruled
    yield parameters_not_set(ruled, sets)
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
