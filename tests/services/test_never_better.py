"""Records from which a pile must never come out better than they prove."""

import pytest

from core import services
from core.errors import WrongUse
from tests.services.small import (
    CERTIFICATES,
    SCHEDULE,
    SETTINGS,
    log,
    small_project,
    state,
    take_in,
)

GOOD = log()


def results(assessment, pile="101"):
    found = assessment.findings
    mine = found[found["subject"].eq(pile) & ~found["result"].isin(["met", "not required"])]
    return dict(zip(mine["kind"], mine["result"], strict=True))


def judged_with(tmp_path, text, *logs):
    folder = small_project(tmp_path, *logs)
    (folder / "project.toml").write_text(text, encoding="utf-8")
    return services.assess(folder)


def test_a_first_reading_without_torque_takes_nothing_from_other_piles(tmp_path):
    low = [0.2, 2.0, 3.0, 4.0, 5.0, 5.5, 6.0, 6.2, 6.4, 6.6]
    assessment = services.assess(small_project(tmp_path, log("101", low), log("102")))
    assert state(assessment, "101") == "criteria met"
    assert state(assessment, "102") == "criteria met"


def test_work_beyond_installing_without_any_run_is_an_incomplete_record(tmp_path):
    folder = small_project(tmp_path)
    take_in(folder, ("stages.csv", "Pile,Stage,Date\n101,cut off,2026-03-10\n"))
    assert state(services.assess(folder)) == "record incomplete"


def test_a_position_set_out_is_not_started(tmp_path):
    folder = small_project(tmp_path)
    take_in(folder, ("stages.csv", "Pile,Stage,Date\n101,set out,2026-03-01\n"))
    assessment = services.assess(folder)
    assert state(assessment) == "not started"
    assert assessment.piles["stage"].tolist()[0] == "set out"


def test_a_run_without_readings_that_ends_above_the_earlier_toe_goes_to_the_engineer(tmp_path):
    falling = [1.0, 2.0, 3.0, 4.0, 5.0, 5.5, 6.0, 6.2, 6.4, 6.6, 3.0, 1.0]
    folder = small_project(tmp_path, log(torques=falling))
    runs = "Pile,Run,Date,Instrument,Toe depth (m),Reason for stopping\n"
    runs += "101,2,2026-03-02,TI-1,2.7,torque and depth reached\n"
    take_in(folder, ("runs.csv", runs))
    found = results(services.assess(folder))
    assert found["disturbed ground"] == "not met"
    assert found["required torque"] == "no evidence"


def test_scour_without_the_grounds_level_leaves_embedment_without_evidence(tmp_path):
    folder = small_project(tmp_path, GOOD)
    head, *rows = SCHEDULE.splitlines()
    later = "\n".join([head + ",Scour level (m)", *(row + ",1.0" for row in rows)])
    take_in(folder, ("b.csv", later.replace(",A,2026-02-01", ",B,2026-02-02")))
    assert results(services.assess(folder))["embedment"] == "no evidence"


def test_an_anchor_without_batter_has_no_vertical_cover(tmp_path):
    text = SETTINGS.replace('"helical pile"', '"helical anchor"')
    text = text.replace(
        'measure = "along the axis"', 'measure = "vertical cover over the top helix"'
    )
    assert results(judged_with(tmp_path, text, GOOD))["embedment"] == "no evidence"


def test_end_of_shift_is_no_reason_once_the_pile_went_further(tmp_path):
    folder = small_project(tmp_path, log(stop="end of shift"))
    assert state(services.assess(folder)) == "in progress"
    take_in(folder, ("stages.csv", "Pile,Stage,Date\n101,cut off,2026-03-10\n"))
    assert results(services.assess(folder))["reason for stopping"] == "not met"


def test_end_of_shift_defers_nothing_once_the_pile_is_surveyed(tmp_path):
    low = log(torques=[1.0] * 10, stop="end of shift")
    folder = small_project(tmp_path, low)
    assert state(services.assess(folder)) == "in progress"
    survey = "Pile,Survey stage,Date,Easting (m),Northing (m),Level (m)\n"
    take_in(folder, ("survey.csv", survey + "101,after cut-off,2026-03-10,100.00,200.00,5.000\n"))
    found = services.assess(folder)
    assert results(found)["reason for stopping"] == "not met"
    assert results(found)["required torque"] == "not met"
    assert state(found) == "engineer review"


def test_an_indicator_whose_certificate_has_no_points_proves_no_torque(tmp_path):
    folder = small_project(tmp_path)
    bare = "Instrument,Certificate,Issued on,Valid from,Valid to\n"
    bare += "TI-2,C-2,2026-01-10,2026-01-10,2027-01-09\n"
    indicator = "Instrument,Kind,Rig\nTI-2,torque indicator,Rig 2\n"
    take_in(folder, ("i.csv", indicator), ("c.csv", bare), ("l.csv", GOOD.replace("TI-1", "TI-2")))
    found = results(services.assess(folder))
    assert found["calibrated range"] == "no evidence"
    assert found["rated torque"] == "no evidence"
    assert found["required torque"] == "no evidence"


def test_a_reading_taken_after_the_certificate_ran_out_is_out_of_force_by_its_own_day(tmp_path):
    folder = small_project(tmp_path)
    short = CERTIFICATES.replace("2027-01-09", "2026-03-02")
    take_in(folder, ("certificates.csv", short))
    head, *rows = GOOD.splitlines()
    times = [f"2026-03-0{2 if n < 8 else 3} 08:0{n}" for n in range(10)]
    timed = [f"{row},{time}" for row, time in zip(rows, times, strict=True)]
    take_in(folder, ("log_1.csv", "\n".join([head + ",Time of reading", *timed]) + "\n"))
    found = results(services.assess(folder))
    assert found["calibration in force"] == "no evidence"
    assert found["required torque"] == "no evidence"


def test_a_pile_outside_production_neither_satisfies_nor_counts(tmp_path):
    folder = small_project(tmp_path, GOOD)
    take_in(folder, ("piles.csv", "Pile,Position,Duty\n101,101,sacrificial\n"))
    services.accept(folder, ["101"], "Ada Invented", "record read")
    assessment = services.assess(folder)
    assert state(assessment) == "accepted"
    assert (assessment.current_positions, assessment.accepted_positions) == (3, 0)
    assert assessment.counts["accepted"] == 0


def test_a_load_of_nothing_asks_for_no_torque_and_is_no_requirement(tmp_path):
    folder = small_project(tmp_path, GOOD)
    later = SCHEDULE.replace("compression,5.0", "compression,").replace(",A,2026", ",B,2026")
    head, *rows = later.splitlines()
    head += ",Design compression (kN),Load basis,Load nature"
    rows = [row + ",0,service,sustained" for row in rows]
    take_in(folder, ("b.csv", "\n".join([head, *rows])))
    assert results(services.assess(folder))["required torque"] == "no evidence"


def test_a_sign_off_belongs_to_the_position_it_was_given_for(tmp_path):
    folder = small_project(tmp_path, log("X1"))
    take_in(folder, ("piles.csv", "Pile,Position\nX1,101\n"))
    services.accept(folder, ["X1"], "Ada Invented", "record read")
    assert services.assess(folder).accepted_positions == 1
    take_in(folder, ("piles.csv", "Pile,Position\nX1,103\n"))
    assessment = services.assess(folder)
    assert assessment.accepted_positions == 0
    assert results(assessment, "X1") == {"sign-off changed since": "noted"}


def test_evidence_that_falls_due_later_and_is_met_keeps_the_sign_off(tmp_path):
    late = SETTINGS.replace(
        'clause = "5.3"\ndue = "installed"', 'clause = "5.3"\ndue = "installed"\ndue_after_days = 5'
    )
    folder = small_project(tmp_path, GOOD)
    settings = folder / "project.toml"
    settings.write_text(late.replace("2026-03-31", "2026-03-03"), encoding="utf-8")
    services.accept(folder, ["101"], "Ada Invented", "record read")
    settings.write_text(late, encoding="utf-8")
    assessment = services.assess(folder)
    embedment = assessment.findings.loc[assessment.findings["kind"].eq("embedment"), "result"]
    assert embedment.tolist() == ["met"]
    assert state(assessment) == "accepted"


def test_a_run_before_any_revision_for_construction_goes_to_the_engineer(tmp_path):
    assessment = services.assess(small_project(tmp_path, log(day="2026-01-20")))
    assert results(assessment)["revision worked to"] == "not met"


def test_what_happens_after_the_judging_day_neither_helps_nor_hides(tmp_path):
    weak = log(torques=[1.0] * 10)
    later = log(run="2", day="2026-04-05", torques=[6.0] * 14)
    assessment = services.assess(small_project(tmp_path, weak, later))
    assert results(assessment)["required torque"] == "not met"
    assert state(assessment) == "engineer review"


def test_a_type_that_project_toml_does_not_hold_is_a_criterion_not_set(tmp_path):
    text = SETTINGS.replace("[types.T1]", "[types.T9]")
    assessment = judged_with(tmp_path, text, GOOD)
    assert results(assessment) == {"criterion not set": "no evidence"}


def test_two_files_of_one_name_in_one_command_are_wrong_use(tmp_path):
    folder = small_project(tmp_path)
    with pytest.raises(WrongUse, match="called LOG"):
        take_in(folder, ("a/log.csv", log("101")), ("b/LOG.csv", log("102")))


def test_as_of_an_entry_is_judged_on_the_day_of_that_entry(tmp_path):
    folder = small_project(tmp_path, GOOD)
    settings = folder / "project.toml"
    settings.write_text(SETTINGS.replace("assessed_on = 2026-03-31\n", ""), encoding="utf-8")
    take_in(folder, ("log_2.csv", log("102")))
    last = services.history(folder).iloc[-1]
    day = last["entered_at"].tz_localize("UTC").tz_convert("Europe/Oslo").date()
    assert services.assess(folder, int(last["entry_no"])).on == day
    with pytest.raises(WrongUse, match="future"):
        services.assess(folder, day.replace(year=9999))
