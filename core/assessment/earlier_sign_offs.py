"""What each sign-off was judged by: the edition of the program, the settings and loads of its day.

A sign-off of the present edition is compared on everything that it saw. One of an earlier edition,
or under settings that lack a criterion or parameter of now, was not judged by what came later, so
that this drops it only by what was recorded since.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable
from dataclasses import dataclass
from functools import cache
from math import isclose
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from core.assessment.evaluation import Evaluation
from core.assessment.evidence import CitedRows, Subjects
from core.assessment.sign_offs import (
    JUDGED_BY_ALL,
    Compared,
    NotCompared,
    edition,
    loads_at_signing,
)
from core.assessment.snapshot import Snapshot
from core.criteria.base import Criterion
from core.criteria.columns import Array, FrameColumns
from core.criteria.findings import Findings, no_findings, other_findings
from core.criteria.kinds import CRITERION_NOT_SET, EDITION
from core.errors import ProjectError
from core.ledger import Ledger
from core.records import CONVERSION_NOISE
from core.selection import schedule_in_force
from core.settings import Project, parse_project
from core.subjects import registry
from core.subjects.piles.rules import CRITERION_NEWER, JUDGED_COLUMNS
from core.subjects.registry import CRITERIA, CRITERION, LATER_PARAMETERS

NOT_ASSESSED = {"project", "roles", "people", "areas", "stamp_patterns"}  # tables
_Sets = dict[Hashable, frozenset[str]]
_NONE: frozenset[str] = frozenset()


@dataclass(frozen=True)
class SigningBasis:
    """Row by row beside the sign-offs: what each is not compared on, and what is newer than it.

    ``newer`` are criteria and parameters (``criterion.parameter``) that its settings leave unsaid.
    """

    unjudged: list[NotCompared]
    newer: list[frozenset[str]]


def signing_basis(folder: Path, known: Snapshot, evaluation: Evaluation) -> SigningBasis:
    """What the sign-offs of ``known`` were judged by."""
    number = len(known.rows("sign_off"))
    under = SigningBasis([JUDGED_BY_ALL] * number, [_NONE] * number)
    earlier = _earlier(known, evaluation)
    if earlier is None:
        return under
    with Ledger(folder).read() as reader:
        written = reader.last_written(known.entry)
        then = reader.schedule_in_force_then(earlier)
    issue_moved = _issue_moved(earlier, then, known.select(schedule_in_force))
    since = _Since(
        records=_records_since(earlier, written, issue_moved),
        measures=_measures_since(earlier, evaluation.cited_rows),
    )
    loads = loads_at_signing(FrameColumns(then.reindex(earlier.index)), np.arange(len(earlier)))
    made: dict[Hashable, NotCompared] = {}
    rows = zip(earlier.index.to_list(), earlier.to_dict("records"), loads, strict=True)
    for label, row, load in rows:
        terms = _Terms.of(known, row["settings_no"], row["pile_type"], row["edition"])
        withheld = _withheld(evaluation.waiting.get(row["subject"], ()), terms.newer)
        moved = since.records.get(label, _NONE), since.measures.get(label, _NONE)
        limits = not terms.same or label in issue_moved
        key = (terms, withheld, moved, limits)
        if key not in made:
            kinds = _unjudged_kinds(terms, evaluation, *moved) | withheld
            made[key] = NotCompared(kinds, limits)
        under.unjudged[label] = made[key].with_loads(tuple(load.items()))
        under.newer[label] = terms.newer
    return under


@dataclass(frozen=True)
class _Since:
    """What was entered or withdrawn since each sign-off, by its label."""

    records: _Sets
    measures: _Sets


@dataclass(frozen=True)
class _Terms:
    """What the piles of one type, signed under one settings entry in one edition, were judged by.

    ``newer``: criteria and parameters unsaid then; ``kinds``: findings unknown then, of these or
    of a later edition, or judged in another form; ``same``: whether the settings still say the
    same where they spoke.
    """

    newer: frozenset[str]
    kinds: frozenset[str]
    same: bool

    @staticmethod
    def of(known: Snapshot, settings_no: int, mark: str, judged_in: int) -> _Terms:
        return _terms(known.settings_texts.get(settings_no), known.project.text, mark, judged_in)


@cache
def _settings(text: str) -> Project | None:
    """Settings as recorded; None when they do not pass the checks of this program."""
    try:
        return parse_project(text)
    except ProjectError:
        return None


@cache
def _terms(then_text: str | None, now_text: str, mark: str, judged_in: int) -> _Terms:
    then = None if then_text is None else _settings(then_text)
    now = _settings(now_text)
    newer = _still_missing(then_text, mark)
    kinds = {kind.id for kind in registry.FINDING_KINDS if kind.since > judged_in}
    kinds |= {
        rule.kind.id
        for rule in registry.RULES
        if rule.criterion in newer or not newer.isdisjoint(rule.kind.needs)
    }
    same = then is not None and now is not None and same_values(then, now)
    if same:  # else a result of another form may come of other settings
        kinds |= {kind.id for kind in registry.FINDING_KINDS if kind.form > judged_in}
    return _Terms(newer, frozenset(kinds) | _unset(newer), same)


def _unset(newer: frozenset[str]) -> frozenset[str]:
    """Keys of the findings that say that a criterion is not set."""
    return frozenset(f"{CRITERION_NOT_SET.id}: {name}" for name in newer)


def _earlier(known: Snapshot, evaluation: Evaluation) -> pd.DataFrame | None:
    """Sign-offs of an earlier edition, and those whose settings lack a criterion of now.

    With their pile's place, settings and day, by row number; None where there is no such one.
    """
    rows, piles = known.rows("sign_off"), evaluation.numbers.of_piles
    place = {pile: at for at, pile in enumerate(piles.text("pile_id").tolist())}
    home = np.array([place.get(pile, -1) for pile in rows.texts("subject")], dtype=np.int64)
    at = home[rows.codes("subject")] if len(rows) else home
    editions = np.array([edition(text) for text in rows.texts("seen")], dtype=np.int64)
    types = piles.text("pile_type")[at]
    settings_no = _settings_no(known, rows.values("entry_no"))
    pairs = list(zip(settings_no.tolist(), types.tolist(), strict=True))
    texts = known.settings_texts
    lacking = {(no, mark) for no, mark in set(pairs) if _still_missing(texts.get(no), mark)}
    lacks = np.array([pair in lacking for pair in pairs], dtype=bool)
    is_old = editions[rows.codes("seen")] < EDITION if len(rows) else lacks
    kept = np.flatnonzero((at >= 0) & (is_old | lacks))
    if not len(kept):
        return None
    old = rows.only(["subject", "entry_no", "signed_on"]).take(kept).frame().set_axis(kept)
    days = [_assessed_on(texts.get(no)) for no in settings_no[kept].tolist()]
    return old.assign(
        edition=editions[rows.codes("seen")][kept],
        position_id=piles.text("position_id")[at[kept]],
        pile_type=types[kept],
        settings_no=settings_no[kept],
        as_of=old["entry_no"],
        on_day=pd.Series(days, kept, dtype="datetime64[us]").fillna(old["signed_on"]),
    )


def _settings_no(known: Snapshot, entries: Array) -> Array:
    """The settings entry in force at each entry; 0 where there was none yet."""
    recorded = np.array(sorted(known.settings_texts), dtype=np.int64)
    found: Array = np.append(recorded, 0)[np.searchsorted(recorded, entries, side="right") - 1]
    return found


def _assessed_on(text: str | None) -> pd.Timestamp | None:
    then = None if text is None else _settings(text)
    day = None if then is None else then.tables.project.assessed_on
    return None if day is None else pd.Timestamp(day)


def _issue_moved(earlier: pd.DataFrame, then: pd.DataFrame, now: pd.DataFrame) -> frozenset[int]:
    """Labels of sign-offs whose position the schedule in force describes in another way now."""
    columns = list(JUDGED_COLUMNS)
    present = now.set_index("position_id")[columns].reindex(earlier["position_id"])
    before, after = then[columns].reindex(earlier.index), present.set_axis(earlier.index)
    same = before.eq(after).fillna(False) | (before.isna() & after.isna())
    moved = ~same.to_numpy(dtype=bool).all(axis=1)
    return frozenset(earlier.index.to_numpy()[moved].tolist())


def _records_since(
    earlier: pd.DataFrame, written: pd.DataFrame, issue_moved: frozenset[int]
) -> _Sets:
    """Per label the record kinds of which rows about the pile were written or withdrawn since."""
    found: dict[Hashable, set[str]] = defaultdict(set)
    of_position = written["record"].eq("schedule")
    for key, part in (("subject", written[~of_position]), ("position_id", written[of_position])):
        keyed = part.rename(columns={"subject": key, "entry_no": "last_no"})
        pairs = earlier[[key, "entry_no"]].reset_index(names="label").merge(keyed, on=key)
        pairs = pairs[pairs["last_no"] > pairs["entry_no"]]
        for label, record in zip(pairs["label"], pairs["record"], strict=True):
            found[label].add(record)
    for label in issue_moved:
        found[label].add("schedule")
    return {label: frozenset(kinds) for label, kinds in found.items()}


def _measures_since(earlier: pd.DataFrame, cited_rows: CitedRows) -> _Sets:
    """Per label the measures of which a row is newer than the sign-off."""
    codes, piles = pd.factorize(earlier["subject"])
    subjects, signed = Subjects("pile", list(piles)), earlier["entry_no"].to_numpy(dtype=np.int64)
    first = int(signed.min())
    found: dict[Hashable, set[str]] = defaultdict(set)
    for measure in cited_rows.measures("pile"):
        newer = cited_rows.newest(measure, subjects, since=first)[codes] > signed
        for label in earlier.index[newer]:
            found[label].add(measure)
    return {label: frozenset(measures) for label, measures in found.items()}


def _withheld(
    waiting: tuple[tuple[str, frozenset[str]], ...], newer: frozenset[str]
) -> frozenset[str]:
    """Kinds that only parameters newer than the sign-off leave without evidence."""
    return frozenset(kind for kind, parameters in waiting if parameters <= newer)


def _unjudged_kinds(
    terms: _Terms, evaluation: Evaluation, record_kinds: frozenset[str], measures: frozenset[str]
) -> frozenset[str]:
    """Of the kinds unknown then, those whose evidence is as it was when the pile was signed.

    A kind of which no row is cited is judged by anything new about the pile.
    """
    unset, kinds = _unset(terms.newer), set()
    for kind in terms.kinds:
        own = evaluation.measures_of.get(kind, _NONE)
        cited = frozenset().union(*map(evaluation.cited_rows.records_of, own))
        moved = (cited or record_kinds) & record_kinds if own else _NONE
        if kind in unset or (not moved and own.isdisjoint(measures)):
            kinds.add(kind)
    return frozenset(kinds)


def newer_findings(known: Snapshot, evaluation: Evaluation, signed: Compared) -> Findings:
    """One *noted* finding per criteria set and criterion or parameter newer than sign-offs.

    It goes when the settings that are recorded say something of it.
    """
    kept = [at for at, newer in enumerate(signed.newer) if newer and not signed.changed[at]]
    if not kept:
        return no_findings()
    piles = evaluation.numbers.of_piles
    mark_of = dict(zip(piles.text("pile_id"), piles.text("pile_type"), strict=True))
    recorded = known.settings_texts[max(known.settings_texts)] if known.settings_texts else None
    types = known.project.tables.types
    counted: dict[tuple[str, str], set[str]] = defaultdict(set)
    for at in kept:
        pile = signed.subjects[at]
        mark = mark_of[pile]
        if mark in types:
            for key in signed.newer[at] & _still_missing(recorded, mark):
                counted[types[mark].criteria, key].add(pile)
    if not counted:
        return no_findings()
    rows = sorted((name, key, len(piles_)) for (name, key), piles_ in counted.items())
    note = [
        f"{key} is newer than the sign-offs of {number} pile{'' if number == 1 else 's'}"
        for _, key, number in rows
    ]
    keys = [key for _, key, _ in rows]
    return other_findings(
        [name for name, _, _ in rows], CRITERION_NEWER, "noted", note, keys,
        subject_kind="criteria set", part=keys,
    )  # fmt: skip


@cache
def _still_missing(recorded: str | None, mark: str) -> frozenset[str]:
    then = None if recorded is None else _settings(recorded)
    return _NONE if then is None else missing_settings(then, mark)


def missing_settings(project: Project, mark: str) -> frozenset[str]:
    """Criteria of type ``mark`` that are neither set nor declared not required, and parameters
    (as ``criterion.parameter``) that a set one lacks. Empty for a type that is not there.

    Nobody can sign a pile off while something that the program knows is unsaid, so what is unsaid
    in the settings of a sign-off came later.
    """
    kind = project.tables.types.get(mark)
    if kind is None:
        return frozenset()
    criteria = project.tables.criteria[kind.criteria]
    missing = {
        name
        for name in CRITERIA
        if getattr(criteria, name) is None and (kind.grouted or not CRITERION[name].grouted_only)
    }
    for key in LATER_PARAMETERS:
        name, _, parameter = key.partition(".")
        criterion = getattr(criteria, name)
        if isinstance(criterion, Criterion) and getattr(criterion, parameter) is None:
            missing.add(key)
    return frozenset(missing)


def same_values(then: Project, now: Project) -> bool:
    """Whether every value by which ``then`` judges is the same in ``now``, which may give more.

    Numbers are the same when they differ by the noise of a conversion alone, so that a length is
    itself in any unit.
    """
    before, after = (
        tables.model_dump(exclude_unset=True, exclude=NOT_ASSESSED)
        for tables in (then.tables, now.tables)
    )
    return _holds(before, after)


def _holds(then: Any, now: Any) -> bool:
    if isinstance(then, dict):
        return isinstance(now, dict) and all(
            key in now and _holds(value, now[key]) for key, value in then.items()
        )
    if isinstance(then, tuple | list) and isinstance(now, tuple | list):
        return len(then) == len(now) and all(map(_holds, then, now))
    if isinstance(then, float) and isinstance(now, float):
        return isclose(then, now, rel_tol=CONVERSION_NOISE)
    return bool(then == now)
