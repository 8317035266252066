"""Mess of the job itself, cases 51 to 65: late revisions, wrong settings, people, clocks, power."""

import os
import subprocess
import sys
import threading
from datetime import date, datetime
from pathlib import Path

import pytest

from core import services
from core.errors import ProjectError, WrongUse
from core.ledger import writer
from tests.readers.mess.jobs import note, objections, pile_row, profile, taken_in
from tests.services.small import SCHEDULE, SETTINGS, log, small_project, state, take_in, write

LATER = SCHEDULE.replace(",A,2026-02-01", ",B,2026-03-20").replace(
    "compression,5.0", "compression,7.0"
)


def test_case_51_a_late_revision_judges_by_itself_and_says_what_stood_at_the_run(tmp_path):
    folder = small_project(tmp_path, log())
    before = services.assess(folder).entry
    assert state(services.assess(folder)) == "criteria met"
    taken_in(folder, ("schedule_b.csv", LATER))
    after = services.assess(folder)
    assert pile_row(after)["revision"] == "B"
    found = objections(after)
    assert found["required torque"] == "not met"
    assert found["schedule revision at the run"] == "noted"
    assert "required torque" in note(after, "schedule revision at the run")
    assert state(services.assess(folder, before)) == "criteria met"


def test_case_51_the_piles_whose_verdict_moved_are_found_by_two_answers(tmp_path):
    folder = small_project(tmp_path, log(), log("102", [8.0] * 10))
    before = services.assess(folder)
    taken_in(folder, ("schedule_b.csv", LATER))
    after = services.assess(folder)
    moved = [pile for pile in ("101", "102") if state(before, pile) != state(after, pile)]
    assert moved == ["101"]


def test_case_52_work_to_a_revision_that_was_not_in_force_is_said(tmp_path):
    folder = small_project(tmp_path)
    early = SCHEDULE.replace(",A,2026-02-01,for construction", ",P,2026-01-15,preliminary")
    taken_in(folder, ("early.csv", early))
    head, *rows = log().splitlines()
    worked = "\n".join([f"{head},Worked to revision", *(f"{row},P" for row in rows)]) + "\n"
    taken_in(folder, ("log.csv", worked))
    assessment = services.assess(folder)
    assert pile_row(assessment)["revision"] == "A"
    assert "revision worked to" in objections(assessment)
    items = assessment.attention
    assert "revision worked to" in items.loc[items["subject"].eq("101"), "kind"].tolist()


def test_case_53_totals_count_every_position_once_whoever_wrote_of_it(tmp_path):
    two_areas = SETTINGS.replace('name = "Area A"', 'name = "Area A"\n[areas.B]\nname = "Area B"')
    folder = small_project(tmp_path, log(), log("102"))
    (folder / "project.toml").write_text(two_areas, encoding="utf-8")
    other = SCHEDULE.replace("\n101,", "\n201,")
    other = other.replace("\n102,", "\n202,").replace("\n103,", "\n203,").replace(",A,T1", ",B,T1")
    taken_in(folder, ("area_b.csv", other), ("log_9.csv", log("201")))
    taken_in(folder, ("copy of log_9.csv", log("201")))
    taken_in(folder, ("log_10.csv", log("101", [6.0] * 13, run="2", day="2026-03-03")))
    assessment = services.assess(folder)
    assert assessment.current_positions == 6
    assert sum(assessment.counts.values()) == 6
    by_area = assessment.piles.groupby("area")["position_id"].nunique().to_dict()
    assert by_area == {"A": 3, "B": 3}
    assert len(profile(assessment, "depth_mm", pile="201")) == 10


def test_case_55_a_test_pile_becomes_sacrificial_and_its_position_gets_another(tmp_path):
    folder = small_project(tmp_path, log(), log("101A"))
    taken_in(folder, ("piles.csv", "Pile,Position,Duty\n101,101,test on works\n"))
    services.accept(folder, ["101"], "Ada Invented", "record read")
    assert services.assess(folder).accepted_positions == 1
    instructed = (
        "Pile,Position,Duty,Replaces,Instruction\n"
        "101,101,sacrificial,,22\n101A,101,production,101,22\n"
    )
    taken_in(folder, ("piles.csv", instructed))
    assessment = services.assess(folder)
    assert pile_row(assessment)["duty"] == "sacrificial"
    assert pile_row(assessment)["counted"] is False
    assert assessment.accepted_positions == 0
    services.accept(folder, ["101A"], "Ada Invented", "record read")
    assert services.assess(folder).accepted_positions == 1


ROOT = Path(__file__).resolve().parents[3]
FACTOR = 'value = 23\nunit = "1/m"'
LOADED = SCHEDULE.replace("Direction", "Compression (kN),Load basis,Load nature,Direction").replace(
    "compression,5.0", "57.5,service,sustained,compression,5.0"
)  # 2 × 57.5 kN / (23 per m) = 5 kN·m, the torque that the schedule prints
SAFETY = """
[[safety_factors]]
direction = "compression"
nature = "sustained"
value = 2
clause = "invented 4.1"
"""


def test_case_59_a_factor_without_its_unit_is_refused(tmp_path):
    folder = small_project(tmp_path)
    for wrong in ("value = 23", 'value = 23\nunit = "m"', 'value = -23\nunit = "1/m"'):
        (folder / "project.toml").write_text(SETTINGS.replace(FACTOR, wrong), encoding="utf-8")
        with pytest.raises(ProjectError, match="torque_factors"):
            services.assess(folder)


def test_case_59_a_factor_per_foot_used_per_metre_is_recognised(tmp_path):
    folder = small_project(tmp_path, log())
    taken_in(folder, ("schedule.csv", LOADED))
    settings = folder / "project.toml"
    settings.write_text(SETTINGS + SAFETY, encoding="utf-8")
    right = services.assess(folder).findings["note"]
    assert not right.str.contains("3.28", regex=False).any()
    wrong = (SETTINGS + SAFETY).replace("value = 23", "value = 7.01")  # 23 per m is 7.01 per ft
    settings.write_text(wrong, encoding="utf-8")
    told = services.assess(folder).findings
    assert told.loc[told["subject"].eq("101"), "note"].str.contains("1/ft used as 1/m").any()


def test_case_59_a_changed_setting_is_a_revision_and_the_states_it_moves_are_seen(tmp_path):
    folder = small_project(tmp_path, log())
    before = services.assess(folder)
    stricter = SETTINGS.replace("window_mm = 900", "window_mm = 2100")
    (folder / "project.toml").write_text(stricter, encoding="utf-8")
    moved = services.assess(folder)
    assert not moved.settings_recorded
    assert pile_row(moved)["final_torque_nm"] < pile_row(before)["final_torque_nm"]
    taken_in(folder, ("log_2.csv", log("102")))
    assert services.assess(folder).settings_recorded
    old = services.assess(folder, before.entry)
    assert pile_row(old)["final_torque_nm"] == pile_row(before)["final_torque_nm"]


def test_case_60_two_people_at_once_lose_nothing_and_conflicts_are_shown(tmp_path):
    folder = small_project(tmp_path)
    reports = []

    def take(number, text):
        reports.append(take_in(folder, (f"rig_{number}.csv", text)))

    texts = [log(), log(torques=[9.0] * 10), log("102")]
    threads = [threading.Thread(target=take, args=pair) for pair in enumerate(texts)]
    for thread in threads:
        thread.start()
    while any(thread.is_alive() for thread in threads):
        services.assess(folder)  # a viewer reads meanwhile
    refused = [report for report in reports if report.refused]
    assert len(reports) == 3
    assert len(refused) == 1  # whichever of the two came second
    assert len(refused[0].conflicts) > 0
    assert refused[0].conflicts["person"].dropna().unique().tolist() == ["Bo Invented"]
    assert len(profile(services.assess(folder), "depth_mm")) == 10
    assert len(profile(services.assess(folder), "depth_mm", pile="102")) == 10
    assert services.verify(folder)[0] == []


KILLED = """
import os, sys
from pathlib import Path
from core import services
def step(text):
    if text.startswith("storing torque"):
        os._exit(9)
services.import_files(Path(sys.argv[1]), [Path(sys.argv[2])], by="Bo Invented", progress=step)
"""


def test_case_61_power_lost_in_the_middle_of_a_load_leaves_the_ledger_as_it_was(tmp_path):
    folder = small_project(tmp_path, log())
    before = services.history(folder)["hash"].tolist()
    path = write(tmp_path / "incoming", "log_2.csv", log("102"))
    killed = subprocess.run(
        [sys.executable, "-c", KILLED, str(folder), str(path)],
        cwd=ROOT, env={**os.environ, "PYTHONPATH": str(ROOT)}, check=False,
    )  # fmt: skip
    assert killed.returncode == 9
    assert services.history(folder)["hash"].tolist() == before
    assert services.verify(folder)[0] == []
    assert profile(services.assess(folder), "depth_mm", pile="102") == []
    assert taken_in(folder, ("log_2.csv", log("102"))).rows["added"] == 11


def test_case_62_a_wrong_clock_and_days_ahead_of_it_are_warned_of(tmp_path, monkeypatch):
    folder = small_project(tmp_path, log())
    path = write(tmp_path / "incoming", "log_2.csv", log("102", day="2026-03-02"))
    told = {"by": "Bo Invented", "today": date(2025, 3, 2)}
    ahead = services.import_files(
        folder, [path], choice=services.ImportChoice(dry_run=True), **told
    )
    assert ahead.notices["notice"].str.contains("check the clock or the year").any()
    monkeypatch.setattr(writer, "now", lambda: datetime(2999, 1, 1))
    taken_in(folder, ("log_2.csv", log("102")))
    monkeypatch.undo()
    back = take_in(folder, ("log_3.csv", log("103")))
    assert back.notices["notice"].str.contains("clock is before the last entry").any()
    entered = services.history(folder)["entered_at"]
    assert entered.is_monotonic_increasing


def test_case_63_names_of_a_crew_stay_as_written_and_acts_are_by_registered_people(tmp_path):
    folder = small_project(tmp_path)
    spelled = ["B. Invented", "bo invented", "Invented, Bo"]
    lines = [f'{101 + at},2026-03-02,0.6,instructed,"{name}"' for at, name in enumerate(spelled)]
    text = "\n".join(["Pile,Date,Toe (m),Stop,Operator", *lines]) + "\n"
    path = write(tmp_path / "incoming", "runs.csv", text)
    with pytest.raises(WrongUse, match="not among the people"):
        services.import_files(folder, [path], by="B. Invented")
    report = services.import_files(folder, [path], by="bo invented")
    changes = services.entry_changes(folder, report.entries[-1])
    assert len(changes) == 3
    assert services.history(folder)["person"].iloc[-1] == "Bo Invented"
    assert services.attachment(folder, services.history(folder)["sha256"].iloc[-1]) == text.encode()


def test_case_65_a_project_never_takes_in_another_one(tmp_path):
    folder = small_project(tmp_path / "real")
    sample = small_project(tmp_path / "sample", log())
    with pytest.raises(WrongUse, match="holds a project"):
        services.import_files(folder, [sample], by="Bo Invented")
    assert profile(services.assess(folder), "depth_mm") == []
