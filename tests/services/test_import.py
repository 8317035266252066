"""Files into the ledger as one act: twice, corrected, in conflict, broken, replaced, withdrawn."""

import pytest

from core import services
from core.errors import Refused, WrongUse
from tests.services.small import SCHEDULE, ledger, log, small_project, state, take_in, write

GOOD = log()
CHANGED = GOOD.replace("2.7,6.4", "2.7,6.3")


@pytest.fixture
def project(tmp_path):
    return small_project(tmp_path, GOOD)


def torque_at(folder, depth_mm, as_of=None):
    profile = services.assess(folder, as_of).measured.profile
    return profile.loc[profile["depth_mm"].eq(depth_mm), "torque_read_nm"].tolist()


def test_the_same_file_again_adds_nothing(project):
    before = ledger(project)
    report = take_in(project, ("log_1.csv", GOOD))
    assert not report.refused
    assert report.entries == []
    assert report.rows["unchanged"] == 11
    assert ledger(project) == before


def test_a_corrected_file_supersedes_exactly_its_changed_rows(project):
    report = take_in(project, ("log_1.csv", CHANGED))
    counts = {name: number for name, number in report.rows.items() if number}
    assert counts == {"superseded": 1, "unchanged": 10}
    assert torque_at(project, 2700) == [6300.0]
    assert torque_at(project, 2700, report.entries[0] - 1) == [6400.0]


def test_a_second_source_is_added_and_another_value_is_a_conflict(project):
    report = take_in(project, ("copy.csv", GOOD))
    assert report.rows["corroborated"] == 11
    before = ledger(project)
    report = take_in(project, ("third.csv", CHANGED))
    assert report.refused
    conflict = report.conflicts.iloc[0]
    assert (conflict["key"], conflict["column"]) == ("101 / 1 / 2700", "torque_read_nm")
    assert (conflict["value"], conflict["current_value"]) == ("6300.0", "6400.0")
    assert (conflict["current_file"], conflict["current_row"]) == ("copy.csv", 10)
    assert ledger(project) == before


def test_replace_lets_the_file_win_its_conflicts(project):
    report = take_in(project, ("other.csv", CHANGED), replace=True)
    assert not report.refused
    assert torque_at(project, 2700) == [6300.0]


def test_skip_bad_rows_leaves_the_conflict_out_and_says_so(project):
    report = take_in(project, ("other.csv", CHANGED), skip_bad_rows=True)
    assert not report.refused
    assert report.rows["skipped"] == 1
    assert len(report.conflicts) == 1
    assert torque_at(project, 2700) == [6400.0]


SHORTER = "\n".join(line for line in GOOD.splitlines() if not line.endswith("0.9,3.0")) + "\n"


def test_rows_missing_from_a_corrected_file_stay_and_are_listed(project):
    report = take_in(project, ("log_1.csv", SHORTER))
    assert report.missing_keys["key"].tolist() == ["101 / 1 / 900"]
    assert torque_at(project, 900) == [3000.0]


def test_replace_removes_the_rows_that_are_missing(project):
    report = take_in(project, ("log_1.csv", SHORTER), replace=True)
    assert report.rows["removed"] == 1
    assert torque_at(project, 900) == []


def test_a_wrong_depth_corrected_with_replace_leaves_no_ghost_row(project):
    take_in(project, ("log_1.csv", GOOD.replace(",0.9,3.0", ",0.8,3.0")), replace=True)
    assert torque_at(project, 900) == []
    assert torque_at(project, 800) == [3000.0]


def test_replace_does_not_remove_rows_that_a_problem_left_out(project):
    before = ledger(project)
    broken = GOOD.replace(",0.9,3.0", ",0.9,three")
    report = take_in(project, ("log_1.csv", broken), replace=True, skip_bad_rows=True)
    assert report.refused
    assert ledger(project) == before


def test_a_dry_run_says_it_and_writes_nothing(project):
    before = ledger(project)
    report = take_in(project, ("log_2.csv", log("102")), dry_run=True)
    assert report.rows["added"] == 11
    assert not report.refused
    assert ledger(project) == before


BROKEN = {
    "schedule": SCHEDULE.replace("100.0", "a hundred"),
    "readings": GOOD.replace("102", "101").replace("2.7,6.4", "2.7,x"),
    "instruments": "Instrument,Kind\nTI-9,telescope\n",
    "points": "Instrument,Certificate,Issued on,Valid from,Valid to,Point,Torque (kN·m)\n"
    "TI-1,C-9,2026-01-10,2026-01-10,2025-01-09,1,0.5\n",
    "nothing": "",
    "no table": "hello\nthere\n",
}


@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_file_leaves_the_ledger_as_it_was(project, name):
    before = ledger(project)
    report = take_in(project, ("log_2.csv", log("102")), (f"{name}.csv", BROKEN[name]))
    assert report.refused
    assert len(report.problems)
    sentence = services.problem_sentence(report.problems.iloc[0].to_dict())
    assert sentence.startswith(f"{name}.csv")
    assert ledger(project) == before


def test_skip_bad_rows_takes_what_is_good_of_a_broken_file(project):
    broken = log("102").replace("0.6,2.0", "0.6,two")
    report = take_in(project, ("log_2.csv", broken), skip_bad_rows=True)
    assert not report.refused
    assert (report.rows["added"], report.rows["skipped"]) == (10, 1)
    assert report.problems["row"].tolist() == [3]


def test_a_reading_without_a_run_is_refused_with_its_row(project):
    readings = "Pile,Run,Depth (m),Torque (kN·m)\n103,1,0.3,1.0\n"
    report = take_in(project, ("readings.csv", readings))
    assert report.refused
    problem = report.problems.iloc[0]
    assert (problem["row"], problem["value"]) == (2, "103 / 1")
    assert "needs its run" in problem["problem"]


def test_runs_and_readings_may_come_in_two_files_of_one_command(project):
    runs = "Pile,Run,Date,Instrument,Toe depth (m),Reason for stopping\n"
    runs += "103,1,2026-03-03,TI-1,0.6,instructed\n"
    readings = "Pile,Run,Depth (m),Torque (kN·m)\n103,1,0.3,1.0\n103,1,0.6,2.0\n"
    report = take_in(project, ("a_readings.csv", readings), ("b_runs.csv", runs))
    assert not report.refused
    assert report.rows["added"] == 3


def test_a_withdrawn_file_no_longer_counts_and_may_be_taken_in_again(project):
    entry = int(services.history(project).iloc[-1]["entry_no"])
    with pytest.raises(Refused, match="may not withdraw"):
        services.withdraw(project, entry, "Bo Invented", "wrong job")
    services.withdraw(project, entry, "Ada Invented", "wrong job")
    assert state(services.assess(project)) == "not started"
    assert state(services.assess(project, entry)) == "criteria met"
    report = take_in(project, ("log_1.csv", GOOD))
    assert report.rows["added"] == 11
    assert state(services.assess(project)) == "criteria met"


def test_readings_whose_run_was_withdrawn_raise_an_item(project):
    runs = "Pile,Run,Date,Instrument,Toe depth (m),Reason for stopping\n"
    runs += "103,1,2026-03-03,TI-1,0.6,instructed\n"
    take_in(project, ("runs.csv", runs))
    entry = int(services.history(project).iloc[-1]["entry_no"])
    readings = "Pile,Run,Depth (m),Torque (kN·m)\n103,1,0.3,1.0\n103,1,0.6,2.0\n"
    take_in(project, ("readings.csv", readings))
    services.withdraw(project, entry, "Ada Invented", "wrong pile")
    found = services.assess(project).findings
    lost = found[found["kind"].eq("readings without a run")]
    assert lost[["subject", "result"]].to_numpy().tolist() == [["103", "no evidence"]]
    assert "2 readings of run 1" in lost["note"].item()


def test_the_person_must_be_registered_and_named_when_there_are_several(project):
    path = write(project.parent / "incoming", "log_2.csv", log("102"))
    with pytest.raises(WrongUse, match="--by NAME"):
        services.import_files(project, [path], by="")
    with pytest.raises(WrongUse, match="not among the people"):
        services.import_files(project, [path], by="Somebody Else")


def test_a_file_that_is_not_there_is_wrong_use(project):
    with pytest.raises(WrongUse, match="is not there"):
        services.import_files(project, [project / "missing.csv"], by="Bo Invented")


def test_changed_settings_are_recorded_with_the_next_act(project):
    settings = project / "project.toml"
    settings.write_text(settings.read_text().replace("Area A", "Area One"))
    assert not services.assess(project).settings_recorded
    take_in(project, ("log_2.csv", log("102")))
    assert services.assess(project).settings_recorded
    assert services.history(project)["act"].tolist()[-2:] == ["settings", "file"]
