"""Every table of every subject without rows: its columns are empty or unknown, and cite nothing."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from core.subjects.tables import Table
from tests.subjects.every_table import (
    NEEDED_BY,
    SUBJECTS,
    classes,
    kinds,
    tables_in,
    without,
)

GONE = [(subject, kind) for subject, (inputs, _) in SUBJECTS.items() for kind in kinds(inputs())]


def made(subject: str, *gone: str) -> list[Table]:
    """The tables of a subject's small job without the rows of some kinds."""
    inputs, tables = SUBJECTS[subject]
    return list(tables_in(tables(without(inputs(), *gone), False)))


def columns(table: Table) -> dict[str, Any]:
    """Every declared column of a table, texts as texts."""
    return {
        name: values.array() if hasattr(values, "array") else values
        for name, values in table.columns()
    }


def test_the_small_jobs_have_a_table_of_every_class():
    reached = {type(table) for subject in SUBJECTS for table in made(subject)}
    assert classes() - reached == set()


@pytest.mark.parametrize("subject", SUBJECTS)
def test_every_column_of_no_rows_is_empty_and_rests_on_nothing(subject):
    inputs, _ = SUBJECTS[subject]
    for table in made(subject, *kinds(inputs())):
        assert len(table) == 0, type(table)
        for name, values in columns(table).items():
            assert len(values) == 0, (type(table), name)
        for name, declared in table.declared.items():
            if declared.evidence is not None:
                assert not any(len(one.owner) for one in table.evidence(name)), (type(table), name)


@pytest.mark.parametrize(("subject", "kind"), GONE)
def test_every_column_has_a_value_per_row_without_the_rows_of_one_kind(subject, kind):
    for table in made(subject, kind, *NEEDED_BY.get((subject, kind), ())):
        for name, values in columns(table).items():
            assert len(values) == len(table), (type(table), name)
        for name, declared in table.declared.items():
            if declared.evidence is not None:
                for one in table.evidence(name):
                    assert np.all((one.owner >= 0) & (one.owner < len(table))), name
                    assert np.all((one.at >= 0) & (one.at < len(one.rows))), name
