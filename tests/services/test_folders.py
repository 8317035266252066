"""Folders and bytes as one act: what is taken in, passed over, refused, and said."""

from datetime import date, datetime
from pathlib import Path

import pytest

from core import services
from core.errors import WrongUse
from core.ledger import writer
from tests.services.small import (
    CERTIFICATES,
    INSTRUMENTS,
    SCHEDULE,
    empty_project,
    ledger,
    log,
    write,
)

FILES = {
    "office/schedule.csv": SCHEDULE,
    "office/instruments.csv": INSTRUMENTS,
    "certificates.csv": CERTIFICATES,
    "rig 1/monday/log_1.csv": log(),
    "rig 1/tuesday/log_2.csv": log("102"),
}


@pytest.fixture
def project(tmp_path):
    return empty_project(tmp_path)


@pytest.fixture
def incoming(tmp_path):
    for name, text in FILES.items():
        write(tmp_path / "incoming", name, text)
    return tmp_path / "incoming"


def take(project, *paths, **choice):
    made = services.ImportChoice(**choice)
    return services.import_files(project, paths, by="Bo Invented", choice=made)


def test_a_folder_is_all_its_files_and_those_below_as_one_act(project, incoming):
    report = take(project, incoming)
    assert not report.refused, report.problems
    assert sorted(report.files["file"]) == sorted(Path(name).name for name in FILES)
    assert len(report.entries) == len(FILES)
    assert report.rows["added"] == 3 + 1 + 1 + 2 + 11 + 11
    assert report.files["rows_read"].sum() == 3 + 1 + 2 + 10 + 10


def test_the_same_folder_twice_adds_nothing_and_says_so(project, incoming):
    first = take(project, incoming)
    before = ledger(project)
    second = take(project, incoming)
    assert (second.refused, second.entries) == (False, [])
    assert second.rows["unchanged"] == first.rows["added"]
    assert ledger(project) == before
    said = second.notices[second.notices["notice"].eq("every row is a duplicate")]
    assert sorted(said["file"]) == sorted(Path(name).name for name in FILES)


def test_a_bad_file_among_good_ones_stops_the_whole_folder(project, incoming):
    take(project, incoming / "office")
    before = ledger(project)
    write(incoming, "rig 1/log_3.csv", log("103").replace("0.6,2.0", "0.6,two"))
    report = take(project, incoming)
    assert report.refused
    assert set(report.problems["file"]) == {"log_3.csv"}
    assert ledger(project) == before


def test_hidden_files_and_those_of_an_open_program_are_passed_over_with_a_remark(project, incoming):
    write(incoming, "~$schedule.xlsx", "owner")
    write(incoming, ".DS_Store", "x")
    write(incoming, ".sync/part.csv", "x")
    report = take(project, incoming)
    assert not report.refused, report.problems
    said = dict(zip(report.notices["file"], report.notices["notice"], strict=True))
    assert "office program" in said["~$schedule.xlsx"]
    assert "hidden" in said[".DS_Store"]
    assert "hidden" in said["part.csv"]
    assert len(report.files) == len(FILES)


def test_equal_names_in_two_folders_are_refused_with_the_folders_named(project, incoming):
    write(incoming, "rig 2/LOG_1.csv", log("103"))
    with pytest.raises(WrongUse) as refusal:
        take(project, incoming)
    assert "LOG_1.csv / log_1.csv" in str(refusal.value)
    for folder in ("monday", "rig 2"):
        assert folder in str(refusal.value)


def test_a_file_named_beside_its_folder_is_taken_once(project, incoming):
    report = take(project, incoming, incoming / "certificates.csv")
    assert len(report.files) == len(FILES)


def test_a_file_that_another_program_holds_is_a_problem(project, incoming, monkeypatch):
    take(project, incoming / "office")
    before = ledger(project)
    read = Path.read_bytes

    def held(path):
        if path.name == "log_1.csv":
            raise PermissionError(13, "Permission denied")
        return read(path)

    monkeypatch.setattr(Path, "read_bytes", held)
    report = take(project, incoming)
    assert report.refused
    problem = report.problems.iloc[0]
    assert (problem["kind"], problem["file"]) == ("locked file", "log_1.csv")
    assert ledger(project) == before


def test_a_folder_with_nothing_in_it_and_one_with_a_project_are_wrong_use(project, tmp_path):
    (tmp_path / "empty").mkdir()
    with pytest.raises(WrongUse, match="holds no file"):
        take(project, tmp_path / "empty")
    with pytest.raises(WrongUse, match="holds a project"):
        take(project, project)
    with pytest.raises(WrongUse, match="holds a project"):
        take(project, project.parent)


def test_bytes_are_taken_in_as_files_are(project):
    contents = [(name, text.encode()) for name, text in FILES.items()]
    report = services.import_contents(project, [*contents, ("~$log.csv", b"x")], by="Bo Invented")
    assert not report.refused, report.problems
    assert sorted(report.files["file"]) == sorted(Path(name).name for name in FILES)
    assert report.notices["file"].tolist() == ["~$log.csv"]
    with pytest.raises(WrongUse, match=r"called log_1\.csv"):
        services.import_contents(
            project, [("a/log_1.csv", b"x"), ("b/log_1.csv", b"y")], by="Bo Invented"
        )


def test_rows_dated_after_today_are_a_remark_and_a_certificates_end_is_not(project, incoming):
    days = {"by": "Bo Invented"}

    report = services.import_files(project, [incoming], today=date(2026, 3, 1), **days)
    said = report.notices[report.notices["notice"].str.startswith("dates after today")]
    assert set(said["file"]) == {"log_1.csv", "log_2.csv"}
    assert said["row"].tolist() == [2, 2]
    assert "2026-03-02" in said["notice"].iloc[0]
    report = services.import_files(project, [incoming], today=date(2026, 3, 2), **days)
    assert not report.notices["notice"].str.startswith("dates after today").any()


def test_a_clock_before_the_last_entry_is_a_remark(project, incoming, monkeypatch):

    monkeypatch.setattr(writer, "now", lambda: datetime(2999, 1, 1))
    assert take(project, incoming).notices.empty
    monkeypatch.undo()
    report = take(project, incoming)
    assert report.notices["notice"].str.contains("clock is before the last entry").any()
