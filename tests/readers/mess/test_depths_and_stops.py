"""Mess in depths, stops and late paper, cases 19, 20 and 22 to 24: what counts, and what asks."""

import math
from datetime import datetime, timedelta

import pytest

from core import services
from tests.readers.mess.books import problems, taken, words
from tests.readers.mess.jobs import note, objections, pile_row, profile, project_with, taken_in
from tests.services.small import LOG_HEAD, SCHEDULE, SETTINGS, log, small_project, state


def run_of(pairs, toe, run="1", day="2026-03-02", stop="torque and depth reached"):
    start = f"101,{run},{day},Rig 1,TI-1,{toe},{stop}"
    return LOG_HEAD + "".join(f"{start},{depth:.1f},{torque}\n" for depth, torque in pairs)


def test_case_19_embedment_counts_from_the_lower_of_the_ground_at_the_run_and_the_grade(tmp_path):
    head, *rows = SCHEDULE.splitlines()
    graded = [f"{head},Ground level (m),Finished grade (m)", *(f"{row},10.0,9.4" for row in rows)]
    head, *rows = log().splitlines()
    at_pile = "\n".join([f"{head},Ground level (m)", *(f"{row},9.0" for row in rows)]) + "\n"
    at_grade = "\n".join([f"{head},Ground level (m)", *(f"{row},10.0" for row in rows)]) + "\n"
    schedule = "\n".join(graded) + "\n"
    ground = services.assess(project_with(tmp_path / "a", schedule=schedule, logs=[at_pile]))
    grade = services.assess(project_with(tmp_path / "b", schedule=schedule, logs=[at_grade]))
    # 3.0 m from ground at 9.0 m; from ground at 10.0 m only 2.4 m are below the grade at 9.4 m.
    assert pile_row(ground)["embedment_mm"] == 3000
    assert pile_row(grade)["embedment_mm"] == pytest.approx(2400)


def test_case_20_a_battered_pile_keeps_depth_along_its_axis_and_covers_by_its_angle(tmp_path):
    head, *rows = SCHEDULE.splitlines()
    schedule = "\n".join([f"{head},Batter from vertical (deg)", *(f"{row},60" for row in rows)])
    vertical = SETTINGS.replace("along the axis", "vertical cover over the top helix")
    logs = [log()]
    along = services.assess(project_with(tmp_path / "a", schedule=schedule + "\n", logs=logs))
    cover = services.assess(
        project_with(tmp_path / "v", schedule=schedule + "\n", settings=vertical, logs=logs)
    )
    assert profile(along, "depth_mm")[-1] == profile(cover, "depth_mm")[-1] == (3000,)
    assert "embedment" not in objections(along)
    assert objections(cover)["embedment"] == "not met"
    measured = cover.findings.loc[
        cover.findings["subject"].eq("101") & cover.findings["kind"].eq("embedment"), "measured"
    ].item()
    assert measured == pytest.approx(1500)  # cos 60° = 1/2


def test_case_20_a_batter_that_does_not_say_from_where_is_asked():
    head = SCHEDULE.splitlines()[0].replace("Direction,", "")
    row = "101,A,2026-02-01,for construction,North,P1,100,200,5,2.4,30"
    for word in ("Batter (deg)", "Inclination (deg)"):
        result = taken(f"{head},{word}\n{row}\n")
        assert problems(result) == [("unclear column", 1)]
        assert "from vertical or from horizontal" in words(result)


def test_case_22_a_stretch_without_reading_above_the_toe_is_a_gap_and_the_rule_waits(tmp_path):
    pairs = [(0.3 * step, 6.0) for step in range(1, 24)]
    assessment = services.assess(small_project(tmp_path, run_of(pairs, 7.35)))
    found = objections(assessment)
    assert found["reading gap in the final window"] == "no evidence"
    assert found["required torque"] == "no evidence"
    assert math.isnan(pile_row(assessment)["final_torque_nm"])
    items = assessment.attention
    assert (
        "reading gap in the final window" in items.loc[items["subject"].eq("101"), "kind"].tolist()
    )


def test_case_22_the_final_window_ends_at_the_toe_and_not_at_the_last_reading(tmp_path):
    pairs = [(0.3 * step, 6.0) for step in range(1, 24)]
    assessment = services.assess(small_project(tmp_path, run_of(pairs, 7.05)))
    inside = [depth for depth, within in profile(assessment, "depth_mm", "in_window") if within]
    assert inside == [6300, 6600, 6900]  # 7050 − 900 = 6150


def test_case_23_paper_is_kept_and_the_day_of_work_is_not_the_day_of_typing(tmp_path):
    folder = small_project(tmp_path, log(day="2026-03-02"))
    scan = b"%PDF-1.7 invented scan of a wet sheet"
    report = services.import_contents(folder, [("sheet_101.pdf", scan)], by="Bo Invented")
    assert not report.refused
    entry = services.history(folder).iloc[-1]
    assert (entry["entry_no"], entry["act"]) == (report.entries[0], "attachment")
    assert services.attachment(folder, entry["sha256"]) == scan
    assert "type its values into a template" in report.notices["notice"].item()
    assert datetime.now() - entry["entered_at"] < timedelta(days=2)
    assert str(pile_row(services.assess(folder))["run_on"])[:10] == "2026-03-02"


def test_case_24_after_a_night_readings_count_only_after_new_penetration(tmp_path):
    first = run_of([(0.3 * step, 4.0) for step in range(1, 9)], 2.4, stop="end of shift")
    second = run_of([(0.3 * step, 7.0) for step in range(9, 14)], 3.9, "2", "2026-03-03")
    folder = small_project(tmp_path, first, second)
    counted = profile(services.assess(folder), "run_no", "depth_mm", "counts")
    # 350 mm of new penetration below the toe at 2400: the reading at 2700 does not count yet.
    assert [row for row in counted if row[0] == "2"] == [
        ("2", 2700, False), ("2", 3000, True), ("2", 3300, True), ("2", 3600, True),
        ("2", 3900, True),
    ]  # fmt: skip
    assert state(services.assess(folder)) == "criteria met"


def test_case_24_set_up_of_the_ground_never_makes_the_final_torque(tmp_path):
    first = run_of([(0.3 * step, 4.0) for step in range(1, 9)], 2.4, stop="end of shift")
    second = run_of([(2.7, 9.0)], 2.7, "2", "2026-03-03")
    assessment = services.assess(small_project(tmp_path, first, second))
    found = objections(assessment)
    assert found["penetration after a stop"] == "not met"
    assert found["required torque"] == "no evidence"
    assert state(assessment) != "criteria met"
    why = "a reading in the final window does not count: it follows a long stop too closely"
    assert note(assessment, "required torque") == why


def test_case_24_a_run_of_its_own_is_never_merged_with_the_one_before(tmp_path):
    folder = small_project(tmp_path, log())
    taken_in(folder, ("night.csv", log(run="2", day="2026-03-03", torques=[5.0] * 11)))
    assert pile_row(services.assess(folder))["runs"] == 2
    assert [run for run, depth in profile(services.assess(folder), "run_no", "depth_mm")].count(
        "1"
    ) == 10
