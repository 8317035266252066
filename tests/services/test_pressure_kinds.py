"""Differential and line pressure from the file to the finding, and what a sender answered once."""

from __future__ import annotations

import duckdb
import pytest

from core import services
from core.errors import WrongUse
from tests.services.small import (
    CERTIFICATES,
    INSTRUMENTS,
    SCHEDULE,
    SETTINGS,
    log,
    started,
    take_in,
)

GAUGES = INSTRUMENTS + "G-1,pressure gauge set,Rig 1\n"
# 1 kN·m at 10 bar, 12 kN·m at 120 bar: torque in kN·m is a tenth of the pressure in bar.
POINTS = """\
Instrument,Certificate,Issued on,Valid from,Valid to,Point,{}Torque (kN·m)
G-1,C-2,2026-01-10,2026-01-10,2027-01-09,1,{}1.0
G-1,C-2,2026-01-10,2026-01-10,2027-01-09,2,{}12.0
"""
BY_DIFFERENTIAL = POINTS.format("Differential pressure (bar),", "10,", "120,")
BY_LINE = POINTS.format("Line pressure (bar),", "10,", "120,")
SHOWN = [10, 20, 30, 40, 50, 55, 60, 62, 64, 66]  # bar; 64 on average in the window
ROWS = {"pressure": ("differential", "")}


def gauge_log(heading, pile="101"):
    return log(pile, SHOWN).replace("Torque (kN·m)", heading).replace("TI-1", "G-1")


def project(tmp_path, points=BY_DIFFERENTIAL, **choice):
    folder = started(
        tmp_path,
        SETTINGS,
        ("schedule.csv", SCHEDULE),
        ("instruments.csv", GAUGES),
        ("certificates.csv", CERTIFICATES),
    )
    assert not take_in(folder, ("curve.csv", points), **choice).refused
    return folder


def finding(assessment, kind, subject="101"):
    found = assessment.findings
    (row,) = found[found["kind"].eq(kind) & found["subject"].eq(subject)].to_dict("records")
    return row


def torque(folder, pile="101"):
    piles = services.assess(folder).piles
    return piles.loc[piles["pile_id"].eq(pile), "final_torque_nm"].item()


def test_ten_bar_of_return_come_off_a_line_pressure(tmp_path):
    folder = project(tmp_path)
    answer = {"pressure": ("line", "10 bar")}
    assert not take_in(folder, ("log.csv", gauge_log("Pressure (bar)")), pressures=answer).refused
    assert torque(folder) == pytest.approx(5400)
    worksheet = services.worksheet(services.assess(folder), "101")
    own = [step for step in worksheet.steps if step.title.endswith("at 2.40 m")]
    across, torque_of_it = own[:2]
    assert [one.value for one in across.inputs] == [6200.0, 1000.0]
    assert (across.equation, across.value) == ("Δp = p − p₀", 5200.0)
    put = torque_of_it.inputs[0]
    assert (put.symbol, put.value) == ("p", 5200.0)
    assert put.source == "above: differential pressure at 2.40 m"
    assert put.description == "differential pressure across the motor"
    assert not services.assess(folder).findings["kind"].eq("pressure kind not recorded").any()


@pytest.mark.parametrize(
    ("points", "curve", "reading"),
    [
        (BY_DIFFERENTIAL, {}, ("line", "not recorded")),
        (BY_LINE, {"curve pressure": ("", "not recorded")}, ("differential", "")),
    ],
)
def test_a_reading_and_a_curve_of_different_kind_are_no_evidence(tmp_path, points, curve, reading):
    folder = project(tmp_path, points, pressures=curve)
    answer = {"pressure": reading}
    assert not take_in(folder, ("log.csv", gauge_log("Pressure (bar)")), pressures=answer).refused
    assessment = services.assess(folder)
    for kind in ("required torque", "torque at the last reading", "calibrated range"):
        row = finding(assessment, kind)
        assert row["result"] == "no evidence"
        words = "reading and calibration curve are of different pressure kind"
        assert row["note"] == f"in the final window {words}"
    assert finding(assessment, "rated torque")["result"] == "no evidence"


def test_line_readings_meet_a_line_curve_as_they_are(tmp_path):
    folder = project(tmp_path, BY_LINE, pressures={"curve pressure": ("", "5 bar")})
    answer = {"pressure": ("line", "not recorded")}
    assert not take_in(folder, ("log.csv", gauge_log("Pressure (bar)")), pressures=answer).refused
    assert torque(folder) == pytest.approx(6400)


def test_rows_stored_before_anybody_asked_count_as_differential_and_are_noted_once(tmp_path):
    folder = project(tmp_path)
    for pile in ("101", "102"):
        text = gauge_log("Differential pressure (bar)", pile)
        assert not take_in(folder, (f"log_{pile}.csv", text)).refused
    with duckdb.connect(str(folder / "project.duckdb")) as store:
        store.execute("update torque_reading set pressure_kind = null")
        store.execute("update calibration_point set point_pressure_kind = null")
    assessment = services.assess(folder)
    assert torque(folder) == pytest.approx(6400)
    row = finding(assessment, "pressure kind not recorded", "G-1")
    assert (row["result"], row["subject_kind"]) == ("noted", "instrument")
    assert row["note"].startswith("20 readings and 2 calibration points")
    assert assessment.findings["kind"].eq("pressure kind not recorded").sum() == 1
    cited = assessment.evidence()
    mine = cited[cited["kind"].eq("pressure kind not recorded")]
    assert sorted(mine["record"].unique()) == ["calibration_point", "torque_reading"]
    steps = services.worksheet(assessment, "101").steps
    descriptions = {put.description for step in steps for put in step.inputs if put.symbol == "p"}
    assert descriptions == {"differential pressure across the motor (kind not recorded)"}


def test_an_answer_is_asked_once_for_each_sender(tmp_path):
    folder = project(tmp_path)
    first = take_in(folder, ("log_1.csv", gauge_log("Pressure (bar)")))
    assert first.refused
    assert first.problems["kind"].tolist() == ["pressure kind not stated"]
    answered = {"pressures": ROWS, "sender": "Rig 1", "answers_of": "Rig 1"}
    report = take_in(folder, ("log_1.csv", gauge_log("Pressure (bar)")), **answered)
    assert not report.refused
    assert len(report.entries) == 2
    (row,) = services.stored_layouts(folder).to_dict("records")
    assert (row["sender"], row["mapping_name"]) == ("Rig 1", "answers about headings")
    again = take_in(folder, ("log_2.csv", gauge_log("Pressure (bar)", "102")), sender="Rig 1")
    assert not again.refused
    assert torque(folder, "102") == pytest.approx(6400)
    other = take_in(folder, ("log_3.csv", gauge_log("Pressure (bar)", "103")))
    assert other.refused
    assert services.verify(folder)[0] == []


def test_a_preview_remembers_nothing(tmp_path):
    folder = project(tmp_path)
    answered = {"pressures": ROWS, "sender": "Rig 1", "answers_of": "Rig 1", "dry_run": True}
    assert not take_in(folder, ("log.csv", gauge_log("Pressure (bar)")), **answered).refused
    assert services.stored_layouts(folder).empty
    with pytest.raises(WrongUse, match="No layout of Rig 1"):
        take_in(folder, ("log.csv", gauge_log("Pressure (bar)")), sender="Rig 1")


def test_a_later_answer_of_a_sender_adds_to_the_earlier(tmp_path):
    folder = project(tmp_path)
    both = {"sender": "Rig 1", "answers_of": "Rig 1"}
    text = gauge_log("Pressure (bar)")
    assert not take_in(folder, ("log_1.csv", text), pressures=ROWS, **both).refused
    head, *rows = gauge_log("Pressure (bar)", "102").splitlines()
    void = "\n".join([f"{head},Void", *(f"{row},no" for row in rows)]) + "\n"
    assert take_in(folder, ("log_2.csv", void), sender="Rig 1").refused
    assert not take_in(folder, ("log_2.csv", void), not_read=("Void",), **both).refused
    third = void.replace("102,", "103,")
    assert not take_in(folder, ("log_3.csv", third), sender="Rig 1").refused


def test_leaving_out_bad_rows_leaves_out_a_sheet_with_an_open_question(tmp_path):
    folder = project(tmp_path)
    head, *rows = gauge_log("Differential pressure (bar)").splitlines()
    void = "\n".join([f"{head},Void", *(f"{row},yes" for row in rows)]) + "\n"
    report = take_in(folder, ("log.csv", void), skip_bad_rows=True)
    assert report.rows["added"] == 0
    assert report.rows["skipped"] == 10
    assert report.not_read["heading"].tolist() == ["Void"]
    assert "101" not in set(services.assess(folder).measured.profile["pile_id"])
