"""Mess in numbers of piles and papers, cases 25 to 31 and 39: text, never merged, never lost."""

from datetime import date

import pytest

from core import services
from tests.readers.mess.books import (
    READINGS,
    book,
    by,
    good,
    pile_layout,
    pile_sheet,
    problems,
    sheet,
    taken,
    words,
)
from tests.readers.mess.jobs import note, objections, pile_row, profile, project_with, taken_in
from tests.services.small import CERTIFICATES, log, small_project, state, take_in

SUFFIXED = ["101", "101A", "101R", "101-2", "P101", "0101", "101 (re-drive)"]


def test_case_25_numbers_with_suffixes_are_texts_and_piles_of_their_own(tmp_path):
    lines = [f"{pile},1,{at + 1},25" for at, pile in enumerate(SUFFIXED)]
    rows = good(taken("\n".join([",".join(READINGS), *lines]) + "\n"))
    assert rows["pile_id"] == SUFFIXED
    folder = small_project(tmp_path, log("101A"))
    before = pile_row(services.assess(folder), "101A")
    assert before["position_id"] != "101"  # nobody has said that 101A serves 101
    taken_in(folder, ("piles.csv", "Pile,Position served\n101A,101\n"))
    assert pile_row(services.assess(folder), "101A")["position_id"] == "101"


def test_case_25_piles_are_listed_as_people_count(tmp_path):
    folder = small_project(tmp_path, *(log(pile) for pile in ("P10", "P9", "1000", "999", "999A")))
    listed = services.assess(folder).piles["pile_id"].dropna().tolist()
    assert listed == ["999", "999A", "1000", "P9", "P10"]


@pytest.mark.parametrize("number", ["1E5", "101.10", "0012345", "4E12", "3-4", "1-2-3"])
def test_case_26_numbers_that_are_text_survive_to_the_last_sign(number):
    in_csv = taken(f"{','.join(READINGS)}\n7,1,0.3,25\n{number},1,0.3,25\n")
    in_book = taken(sheet(READINGS, ["7", "1", 0.3, 25], [number, "1", 0.3, 25]))
    for result in (in_csv, in_book):
        assert good(result)["pile_id"] == ["7", number]


def test_case_26_a_workbooks_whole_number_is_the_number_that_was_typed():
    assert good(taken(sheet(READINGS, [101, 1, 0.3, 25])))["pile_id"] == ["101"]
    assert good(taken(sheet(READINGS, [101.0, 1, 0.3, 25])))["pile_id"] == ["101"]


@pytest.mark.parametrize("number", [101.1, date(2026, 4, 3), 4.5e22], ids=["float", "date", "long"])
def test_case_26_a_float_or_a_date_for_a_pile_asks_for_the_file_again(number):
    result = taken(sheet(READINGS, [number, 1, 0.3, 25], ["102", 1, 0.3, 25]))
    assert problems(result) == [("number altered by the spreadsheet", 2)]
    assert "Ask for the file again" in words(result)
    assert result.frames["torque_reading"]["pile_id"].tolist() == ["102"]


@pytest.mark.parametrize("number", ["4E+12", "1.00E+05", "03-Apr", "4-Mar", "Apr-03"])
def test_case_26_an_export_of_what_a_spreadsheet_made_is_the_same_problem(number):
    result = taken(f"{','.join(READINGS)}\n{number},1,0.3,25\n")
    assert problems(result) == [("number altered by the spreadsheet", 2)]


def test_case_27_the_second_structures_piles_have_its_prefix_by_the_layout():
    content = book({"Pile 101": pile_sheet()})
    first = taken(content, by(pile_layout()))
    second = taken(content, by(pile_layout(number_prefix="W-")))
    assert set(good(first)["pile_id"]) == {"101"}
    assert set(good(second)["pile_id"]) == {"W-101"}
    assert good(second, "run")["pile_id"] == ["W-101"]


def test_case_27_two_rigs_with_one_number_on_one_day_are_a_conflict_and_nothing_is_merged(tmp_path):
    folder = small_project(tmp_path, log())
    before = profile(services.assess(folder), "run_no", "depth_mm", "torque_nm", "rig")
    other = log(torques=[0.5 + step / 2 for step in range(12)]).replace("Rig 1", "Rig 7")
    report = take_in(folder, ("rig_7.csv", other))
    assert report.refused
    assert set(report.conflicts["current_file"]) == {"log_1.csv"}
    assert profile(services.assess(folder), "run_no", "depth_mm", "torque_nm", "rig") == before


def test_case_27_good_rows_of_a_contested_run_are_left_out_with_it(tmp_path):
    folder = small_project(tmp_path, log())
    before = profile(services.assess(folder), "run_no", "depth_mm", "torque_nm", "rig")
    deeper = log(torques=[0.5 + step / 2 for step in range(12)]).replace("Rig 1", "Rig 7")
    report = take_in(folder, ("rig_7.csv", deeper), skip_bad_rows=True)
    assert report.rows["added"] == 0
    assert report.rows["skipped"] == 13
    assert profile(services.assess(folder), "run_no", "depth_mm", "torque_nm", "rig") == before


def test_case_28_a_moved_pile_stands_at_its_instructed_place_and_the_old_one_is_known(tmp_path):
    folder = small_project(tmp_path, log())
    before = pile_row(services.assess(folder))
    moved = "Pile,Position,New easting (m),New northing (m),Instruction\n101,101,100.4,200.0,14\n"
    taken_in(folder, ("moved.csv", moved))
    after = pile_row(services.assess(folder))
    assert (before["easting_m"], before["northing_m"]) == (100.0, 200.0)
    assert (after["easting_m"], after["northing_m"], after["instruction"]) == (100.4, 200.0, "14")
    old = services.assess(folder, before_last(folder))
    assert pile_row(old)["easting_m"] == 100.0


def before_last(folder):
    """The entry before the last one."""
    return int(services.history(folder)["entry_no"].iloc[-1]) - 1


def test_case_29_a_position_served_by_two_piles_needs_both(tmp_path):
    folder = small_project(tmp_path, log("101A"), log("101B"))
    taken_in(folder, ("piles.csv", "Pile,Position,Instruction\n101A,101,7\n101B,101,7\n"))
    services.accept(folder, ["101A"], "Ada Invented", "record read")
    assert services.assess(folder).accepted_positions == 0
    services.accept(folder, ["101B"], "Ada Invented", "record read")
    assessment = services.assess(folder)
    assert assessment.accepted_positions == 1
    assert assessment.current_positions == 3


def test_case_30_an_abandoned_hole_is_kept_as_work_and_satisfies_nothing(tmp_path):
    hole = log("101", [1.0, 2.0, 3.0, 3.5, 4.0, 4.2, 4.4], stop="refusal on obstruction")
    folder = small_project(tmp_path, hole, log("101A"))
    taken_in(folder, ("piles.csv", "Pile,Position,Replaces,Instruction\n101A,101,101,9\n"))
    assessment = services.assess(folder)
    assert pile_row(assessment, "101A")["replaces"] == "101"
    assert len(profile(assessment, "depth_mm", pile="101")) == 7  # the work done stays recorded
    positions = assessment.positions.set_index("position_id")
    assert positions.loc["101", "state"] == "rejected"  # until the replacement is accepted
    services.accept(folder, ["101A"], "Ada Invented", "record read")
    assessment = services.assess(folder)
    assert state(assessment, "101") == "replaced"
    assert assessment.accepted_positions == 1


def test_case_31_a_torque_check_after_acceptance_is_a_new_run_and_judged_by_the_last(tmp_path):
    folder = small_project(tmp_path, log())
    services.accept(folder, ["101"], "Ada Invented", "record read")
    weak = log(run="2", day="2026-03-03", torques=[2.0] * 12)
    deeper = "\n".join([weak.splitlines()[0], *weak.splitlines()[11:]]) + "\n"
    taken_in(folder, ("check.csv", deeper))
    assessment = services.assess(folder)
    assert pile_row(assessment)["runs"] == 2
    assert objections(assessment)["required torque"] in ("not met", "no evidence")
    assert state(assessment) not in ("accepted", "criteria met")
    assert "sign-off changed since" in objections(assessment)


def test_case_39_a_certificate_that_comes_after_the_pile_judges_it_from_then_on(tmp_path):
    folder = project_with(tmp_path, certificates="", logs=[log()])
    before = services.assess(folder)
    assert objections(before)["calibration in force"] == "no evidence"
    assert objections(before)["required torque"] == "no evidence"
    taken_in(folder, ("certificates.csv", CERTIFICATES))
    assert state(services.assess(folder)) == "criteria met"
    assert state(services.assess(folder, before.entry)) == "record incomplete"


def test_case_39_a_corrected_certificate_judges_again_and_the_old_one_is_kept(tmp_path):
    folder = small_project(tmp_path, log())
    entry = services.assess(folder).entry
    expired = CERTIFICATES.replace("2027-01-09", "2026-03-01")
    report = taken_in(folder, ("certificates.csv", expired))
    assert report.rows["superseded"] == 1
    after = services.assess(folder)
    assert objections(after)["calibration in force"] == "no evidence"
    assert "readings" in note(after, "calibration in force")
    assert state(services.assess(folder, entry)) == "criteria met"
    digests = services.history(folder)["sha256"].dropna()
    assert CERTIFICATES.encode() in [services.attachment(folder, digest) for digest in digests]


def test_case_39_the_day_a_certificate_holds_from_is_not_the_day_it_came(tmp_path):
    folder = project_with(tmp_path, certificates="", logs=[log(day="2026-01-05")])
    taken_in(folder, ("certificates.csv", CERTIFICATES))  # in force from 2026-01-10
    assert objections(services.assess(folder))["calibration in force"] == "no evidence"
