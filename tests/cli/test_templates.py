"""The command that writes templates: all of them, or none."""

from __future__ import annotations

import pytest

from core.errors import Refused
from core.records import KINDS
from core.services.declarations import write_templates
from tests.cli.test_commands import run

NAMES = {f"{kind.name}.xlsx" for kind in KINDS if kind.from_files}


def test_templates_writes_one_workbook_per_kind_and_prints_the_paths(tmp_path, capsys):
    folder = tmp_path / "new" / "templates"
    code, out, _ = run(capsys, "templates", folder)
    assert code == 0
    assert {path.name for path in folder.iterdir()} == NAMES
    assert set(out.split()) == {str(path) for path in folder.iterdir()}


def test_a_template_that_is_there_already_stops_all_of_them(tmp_path, capsys):
    (tmp_path / "run.xlsx").write_bytes(b"filled in")
    code, _, err = run(capsys, "templates", tmp_path)
    assert code == 1
    assert "run.xlsx" in err
    assert [path.name for path in tmp_path.iterdir()] == ["run.xlsx"]
    assert (tmp_path / "run.xlsx").read_bytes() == b"filled in"


def test_templates_need_a_folder_not_a_file(tmp_path):
    (tmp_path / "file").touch()
    with pytest.raises(Refused, match="is a file"):
        write_templates(tmp_path / "file")
