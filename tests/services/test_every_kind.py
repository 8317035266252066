"""Every record kind on its whole way: template, import, ledger, current row."""

from __future__ import annotations

import pandas as pd
import pytest

from core import records, services
from core.ledger import Ledger
from tests.reports.filled import filled, rows_of
from tests.services.small import SETTINGS, started

FROM_FILES = [kind for kind in records.KINDS if kind.from_files]
OF_EXAMPLES = SETTINGS.replace("[areas.A]", "[areas.North]").replace("[types.T1]", "[types.P1]")
OF_EXAMPLES += """
[component_kinds.lead]
name = "lead section"
stamp_is = "piece"
traceability = "piece"
clause = "6.1"
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A project with the examples of every template, imported as one command."""
    parent = tmp_path_factory.mktemp("every_kind")
    project, incoming = started(parent, OF_EXAMPLES), parent / "incoming"
    incoming.mkdir()
    for kind in FROM_FILES:
        (incoming / f"{kind.name}.xlsx").write_bytes(filled(kind, *rows_of(kind)))
    report = services.import_files(project, sorted(incoming.iterdir()), by="Bo Invented")
    assert not report.refused, report.problems.to_dict("records")
    return project


@pytest.fixture(scope="module")
def reader(folder):
    with Ledger(folder).read() as opened:
        yield opened


@pytest.mark.parametrize("kind", FROM_FILES, ids=lambda kind: kind.name)
def test_the_example_of_a_kind_becomes_a_current_row(reader, kind):
    current = reader.current_frame(kind.name, reader.last_entry())
    assert len(current) == len(rows_of(kind))
    first = current.iloc[0]
    for column in kind.columns:
        text, value = rows_of(kind)[0].get(column.name), first[column.name]
        if text is None:
            assert pd.isna(value), column.name
        elif column.form == "text":
            assert value == text, column.name
        elif column.form == "date":
            assert value == pd.Timestamp(text), column.name
        else:
            assert not pd.isna(value), column.name


@pytest.mark.parametrize("kind", FROM_FILES, ids=lambda kind: kind.name)
def test_a_current_row_cites_its_file_and_row(reader, kind):
    current = reader.current_frame(kind.name, reader.last_entry())
    asked = current[["entry_no", "row_no"]].assign(record=kind.name, sheet=kind.word.capitalize())
    found = reader.sources(asked)
    assert set(found["file"]) == {f"{kind.name}.xlsx"}
    assert found["row"].tolist() == list(range(2, 2 + len(current)))


@pytest.mark.parametrize("kind", [one for one in FROM_FILES if one.needs], ids=lambda one: one.name)
def test_an_example_without_its_required_parent_is_refused(tmp_path, kind):
    project = started(tmp_path, OF_EXAMPLES)
    file = tmp_path / f"{kind.name}.xlsx"
    file.write_bytes(filled(kind, *rows_of(kind)))
    report = services.import_files(project, [file], by="Bo Invented")
    assert report.refused
    parents = [one.parent.word for one in kind.needs]
    assert any(f"needs its {word}" in report.problems["problem"].iloc[0] for word in parents)


def test_the_ledger_with_every_kind_is_sound(folder):
    assert services.verify(folder)[0] == []
