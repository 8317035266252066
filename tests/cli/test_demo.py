"""The demonstration says how many rows it left out, and why."""

import pandas as pd
import pytest

from core import services
from core.cli import projects
from tests.cli.test_commands import run
from tests.services.small import log, small_project, take_in


def built(faults):
    """A stand-in for the sample: a small project and a log with some numbers that are none."""

    def build(sample, folder, progress):
        progress("reading [bold]log_2.csv")
        made = small_project(folder.parent / "beside")
        folder.parent.mkdir(parents=True, exist_ok=True)
        made.rename(folder)
        text = log("102", [f"none{n}" if n < faults else "1.0" for n in range(50)])
        return take_in(folder, ("log_2.csv", text), skip_bad_rows=True)

    return build


@pytest.mark.parametrize(("faults", "shown"), [(2, 2), (projects.MOST_LINES + 3, 30)])
def test_what_was_skipped_is_counted_and_listed(tmp_path, capsys, monkeypatch, faults, shown):
    monkeypatch.setattr(services, "build_sample", built(faults))
    code, out, err = run(capsys, "demo", "--folder", tmp_path / "demo", "--load-only")
    assert code == 0, err
    assert f"Skipped {faults} rows, for {faults} reasons:" in out
    lines = [line for line in out.splitlines() if line.startswith("  log_2.csv, row ")]
    assert len(lines) == shown
    assert ("… and 3 more" in out) == (faults > shown)
    assert out.splitlines()[-1].startswith("details: pilewright import ")
    assert "--by 'Bo Invented' --dry-run --skip-bad-rows" in out


def test_a_conflict_is_one_sentence_with_both_values():
    row = {"file": "b.csv", "sheet": "Pile 1", "row": 3, "key": "101 / 1", "column": "toe_mm"}
    row |= {"value": "9000", "current_value": "9100", "current_file": "a.csv"}
    row |= {"current_entry_no": 7, "person": "Ada Invented"}
    words = "b.csv, sheet Pile 1, row 3, column toe_mm: 101 / 1 is “9000” here, "
    words += "the current value is “9100”"
    assert services.conflict_sentence(row) == f"{words} (a.csv, Ada Invented)."
    row |= {"current_entry_no": pd.NA, "person": None}
    assert services.conflict_sentence(row) == f"{words} (a.csv, the same command)."
