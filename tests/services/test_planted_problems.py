"""The raw files are a mess on purpose: every planted problem is found, what remains goes in."""

import csv
from collections import Counter
from pathlib import Path

import pandas as pd

from core import services
from tests.conftest import SAMPLE


def listed() -> list[dict[str, str]]:
    """planted_problems.csv as rows of text."""
    with (SAMPLE / "planted_problems.csv").open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def said(report: services.ImportReport, file: str) -> str:
    """All remarks on one file as one text."""
    own = report.notices[report.notices["file"].eq(file)]
    return "\n".join(own["sheet"].fillna("") + ": " + own["notice"])


def test_the_problems_are_exactly_the_planted_ones(built_sample):
    problems = built_sample[1].problems
    rows = problems["row"].map(lambda row: "" if pd.isna(row) else str(row))
    found = Counter(zip(problems["file"], problems["sheet"], rows, problems["kind"], strict=True))
    assert found == Counter((r["file"], r["sheet"], r["row"], r["kind"]) for r in listed())


def test_many_kinds_of_problem_are_planted_in_every_kind_of_file():
    assert len({row["kind"] for row in listed()}) >= 25
    assert {Path(row["file"]).suffix for row in listed()} == {".csv", ".txt", ".xlsx", ".ods"}


def test_no_row_is_in_conflict_and_what_was_left_out_is_counted(built_sample):
    report = built_sample[1]
    assert not report.refused
    assert report.conflicts.empty
    assert report.rows["skipped"] == report.files["rows_skipped"].sum() + unknown_references()
    whole = report.files.set_index("file")
    for file in ("loads_in_tons.csv", "set_out_B28.csv"):
        assert whole.loc[file, "rows_skipped"] == whole.loc[file, "rows_read"] > 0


def unknown_references() -> int:
    """Rows that only the ledger can know to be about nothing."""
    return sum(row["kind"] == "unknown reference" for row in listed())


def test_remarks_name_hidden_rows_and_what_was_passed_over_or_left_out(built_sample):
    report = built_sample[1]
    pile_sheets = said(report, "rig2_week_38.xlsx")
    assert "Pile P-102: Hidden row 11 was read like the others." in pile_sheets
    assert "Sheet Summary is left out" in pile_sheets
    assert "Total 19 readings" in pile_sheets
    assert "Hidden row" in said(report, "rig2_week_39.xlsx")
    assert "Under the table, row 204 was passed over." in said(report, "schedule_rev_C.xlsx")
    assert "row 1 was passed over" in said(report, "instructions.ods")
    assert "skipped" in said(report, "~$rig2_week_39.xlsx")


def test_a_scan_and_a_photo_are_kept_as_attachments(built_sample):
    folder, report = built_sample
    history = services.history(folder)
    kept = history[history["act"].eq("attachment")].set_index("source")
    for file in ("certificate_FH-26-155_scan.pdf", "photo_B15-1_obstruction.png"):
        assert "kept as attachment" in said(report, file)
        content = (SAMPLE / "raw" / file).read_bytes()
        assert services.attachment(folder, kept.loc[file, "sha256"]) == content


def test_every_remembered_layout_is_used(built_sample):
    folder, report = built_sample
    used = {name for names in report.files["layout"] for name in names.split(", ") if name}
    assert used == set(services.stored_layouts(folder)["mapping_name"])


def test_raw_files_taken_in_again_add_nothing_and_name_the_same_problems(built_sample, own_sample):
    folder, report = own_sample, built_sample[1]
    before = services.history(folder)["entry_no"].max()
    choice = services.ImportChoice(skip_bad_rows=True)
    again = services.import_files(folder, [SAMPLE / "raw"], by="Fred Sample", choice=choice)
    assert again.problems["problem"].tolist() == report.problems["problem"].tolist()
    assert again.entries == []
    assert services.history(folder)["entry_no"].max() == before


def test_without_taking_good_rows_nothing_goes_in(own_sample):
    refused = services.import_files(
        own_sample, [SAMPLE / "raw" / "schedule_rev_A.csv"], by="Fay Sample"
    )
    assert refused.refused
    assert len(refused.problems) == sum(row["file"] == "schedule_rev_A.csv" for row in listed())
