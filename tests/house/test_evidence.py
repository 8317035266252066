"""Whatever a finding or a table calls its evidence is declared and leads to rows of the ledger."""

from __future__ import annotations

import ast
from collections.abc import Iterable

import numpy as np
import pandas as pd
import pytest

from core import services
from core.assessment.evidence import CitedRows
from core.criteria.kinds import FindingKind
from core.records import KIND
from core.records.current_rows import CurrentRows
from core.subjects.registry import FINDING_KINDS
from core.subjects.tables import Links, Table, column, measure
from tests.house.tree import ROOT, name, parsed
from tests.services.whole_job import whole_project
from tests.subjects.every_table import SUBJECTS, tables_in

MADE_BY = "other_findings"
# That no event is on record rests on no row; the kinds of the events themselves cite theirs.
OF_NOTHING = ["installation_events"]
# Positional arguments of it: subjects, kind, result, note, measure, kind of subject.
MEASURE, SUBJECT_KIND = 4, 5


@pytest.fixture(scope="module")
def cited(tmp_path_factory) -> CitedRows:
    """The rows behind the measures of a small job with every subject."""
    return services.assess(whole_project(tmp_path_factory.mktemp("evidence"))).cited_rows


def undeclared(kinds: Iterable[FindingKind], cited: CitedRows) -> list[str]:
    """Kinds of finding that name a measure for which no rows are declared."""
    declared = set(cited.measures("pile"))  # a criterion's findings are about piles
    return [kind.id for kind in kinds if kind.measure and kind.measure not in declared]


def named_by_makers(tree: ast.Module) -> list[tuple[str, str]]:
    """Kind of subject and measure of every finding that a module makes without a criterion."""
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            if node.func.id != MADE_BY:
                continue
            given = dict(enumerate(node.args)) | {one.arg: one.value for one in node.keywords}
            measure = given.get(MEASURE, given.get("measure", ast.Constant("")))
            kind = given.get(SUBJECT_KIND, given.get("subject_kind", ast.Constant("pile")))
            assert isinstance(kind, ast.Constant), ast.unparse(node)
            assert isinstance(measure, ast.Constant), ast.unparse(node)
            found.append((str(kind.value), str(measure.value)))
    return found


def unplaced(tables: Iterable[Table]) -> list[str]:
    """Declared evidence of ``tables`` that has a row without an entry, or of no record kind."""
    found = []
    for table in tables:
        for one, declared in table.declared.items():
            rows = table.evidence(one) if declared.evidence is not None else []
            bad = [links for links in rows if links.record not in KIND or not _is_placed(links)]
            found += [f"{type(table).__name__}.{one}"] if bad else []
    return found


def bare(tables: Iterable[Table]) -> list[str]:
    """Measures with evidence of their own that are known in a row and rest on nothing there."""
    found = []
    for table in tables:
        for one, declared in table.declared.items():
            if isinstance(declared, measure) and declared.evidence is not None:
                proven = np.zeros(len(table), dtype=bool)
                for links in table.evidence(one):
                    proven[links.owner] = True
                known = getattr(table, one).known
                found += [f"{type(table).__name__}.{one}"] if np.any(known & ~proven) else []
    return found


def _is_placed(links: Links) -> bool:
    entries, numbers = links.entry_no, links.rows.values("row_no")[links.at]
    return bool(np.all(entries > 0) and np.all(numbers > 0))


def test_every_measure_that_a_finding_kind_names_has_declared_rows(cited):
    planted = FindingKind("planted", "planted", "Planted.", "A", "QC", "x", measure="none_such_mm")
    assert undeclared(FINDING_KINDS, cited) == OF_NOTHING
    assert undeclared([*FINDING_KINDS, planted], cited) == [*OF_NOTHING, "planted"]


def test_every_measure_that_a_maker_names_has_declared_rows(cited):
    named = {
        one: name(path)
        for path in sorted((ROOT / "core" / "subjects").rglob("*rules.py"))
        for one in named_by_makers(parsed(path))
        if one[1]
    }
    assert len(named) > 10
    assert [one for one in named if one[1] not in cited.measures(one[0])] == []


def test_the_measures_that_a_maker_names_are_read_off_its_calls():
    calls = "other_findings(a, K, 'met', '', 'toe_mm')\n"
    calls += "other_findings(a, K, 'met', measure='lot', subject_kind='lot')\n"
    calls += "other_findings(a, K, 'met')\n"
    found = [("pile", "toe_mm"), ("lot", "lot"), ("pile", "")]
    assert named_by_makers(ast.parse(calls)) == found


@pytest.mark.parametrize("subject", SUBJECTS)
def test_declared_evidence_is_rows_with_an_entry(subject):
    inputs, tables = SUBJECTS[subject]
    made = list(tables_in(tables(inputs(), False)))
    assert unplaced(made) == []
    assert bare(made) == []


def test_a_job_of_the_ledger_has_evidence_with_entries(tmp_path):
    made = list(tables_in(services.assess(whole_project(tmp_path)).measured))
    assert len({table.subject for table in made}) > 3
    assert unplaced(made) == []
    assert bare(made) == []


class Planted(Table):
    """A row whose evidence has no place in the ledger, and a number that rests on nothing."""

    subject = "planted"

    @measure("number of the row", evidence=lambda table: [])
    def row_mm(self):
        """As it is recorded."""
        return self.recorded("row_no")

    @column("number", "nothing", evidence=lambda table: [Links("run", ROW, table.rows, ROW)])
    def nothing(self):
        """No number."""
        return np.zeros(len(self))


ROW = np.array([0])


@pytest.mark.parametrize(("entry", "caught"), [(3.0, []), (np.nan, ["Planted.nothing"])])
def test_evidence_without_an_entry_is_caught(entry, caught):
    rows = CurrentRows.of_frame(pd.DataFrame({"entry_no": [entry], "row_no": [1.0]}))
    assert unplaced([Planted(rows)]) == caught
    assert bare([Planted(rows)]) == ["Planted.row_mm"]
