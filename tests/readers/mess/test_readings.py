"""Mess in readings, cases 7, 11 and 13 to 24: kept as taken, and never better than they prove."""

import math

import pytest

from core import services
from tests.readers.mess.books import problems, taken, words
from tests.readers.mess.jobs import (
    GAUGES,
    POINTS,
    objections,
    pile_row,
    profile,
    project_with,
    taken_in,
)
from tests.services.small import LOG_HEAD, SETTINGS, log, small_project, state

GOOD = [1.0, 2.0, 3.0, 4.0, 5.0, 5.5, 6.0, 6.2, 6.4, 6.6]


def at_depths(toe, *pairs, head=LOG_HEAD, run="1", day="2026-03-02", instrument="TI-1"):
    """A log of pile 101 with these depths and torques."""
    start = f"101,{run},{day},Rig 1,{instrument},{toe},torque and depth reached"
    return head + "".join(f"{start},{depth},{torque}\n" for depth, torque in pairs)


def test_case_07_a_log_each_foot_keeps_its_true_depths_and_satisfies_300_mm(tmp_path):
    feet = LOG_HEAD.replace("(m)", "(ft)")
    text = at_depths(30, *((foot, 6.0) for foot in range(1, 31)), head=feet)
    assessment = services.assess(small_project(tmp_path, text))
    depths = [depth for (depth,) in profile(assessment, "depth_mm")]
    assert depths == [round(304.8 * foot) for foot in range(1, 31)]
    assert depths[-1] - 30 * 300 == 144
    assert objections(assessment) == {}


def test_case_07_the_interval_tolerance_is_a_setting(tmp_path):
    tight = SETTINGS.replace(
        "interval_mm = 300\ninterval_tolerance_mm = 10",
        "interval_mm = 300\ninterval_tolerance_mm = 4",
    )
    feet = LOG_HEAD.replace("(m)", "(ft)")
    text = at_depths(30, *((foot, 6.0) for foot in range(1, 31)), head=feet)
    assessment = services.assess(project_with(tmp_path, settings=tight, logs=[text]))
    assert objections(assessment)["reading gap in the final window"] == "no evidence"


def gauge_log(*pressures, instrument="G-1", unit="psi"):
    head = LOG_HEAD.replace("Torque (kN·m)", f"Differential pressure ({unit})")
    pairs = ((f"{0.3 * (at + 1):.1f}", pressure) for at, pressure in enumerate(pressures))
    return at_depths(f"{0.3 * len(pressures):.1f}", *pairs, head=head, instrument=instrument)


def test_case_11_pressure_in_psi_meets_a_curve_in_bar_and_nothing_is_read_beyond_it(tmp_path):
    curve = POINTS + "".join(
        f"G-1,C-9,2026-01-10,2026-01-10,2027-01-09,{no},{bar},{knm}\n"
        for no, bar, knm in ((1, 20, 2), (2, 100, 10))
    )
    # 1 bar = 14.503774 psi: 145.03774 psi = 10 bar, 870.2264 = 60 bar, 2900.7548 = 200 bar.
    text = gauge_log(145.03774, 870.2264, 2900.7548)
    folder = project_with(tmp_path)
    taken_in(folder, ("gauges.csv", GAUGES), ("curve.csv", curve), ("log.csv", text))
    assessment = services.assess(folder)
    found = profile(assessment, "range", "torque_nm")
    assert [place for place, _ in found] == ["below", "in", "above"]
    assert math.isnan(found[0][1])
    assert found[1][1] == pytest.approx(6000, rel=1e-6)
    assert math.isnan(found[2][1])
    assert profile(assessment, "torque_lower_bound_nm")[2] == (
        10_000.0,
    )  # counts as the last point
    assert objections(assessment)["rated torque"] == "no evidence"


def test_case_13_irregular_depths_stand_as_they_are_and_are_weighted_by_length(tmp_path):
    pairs = [(0.3, 3.0), (0.61, 3.5), (0.9, 4.0), (1.2, 4.4), (1.5, 4.8), (1.8, 5.0)]
    pairs += [(2.1, 5.6), (2.25, 6.0), (2.55, 6.5), (2.7, 8.0)]
    text = at_depths(2.7, *pairs)
    weighted = SETTINGS.replace('"plain mean"', '"length-weighted mean"')
    folder = project_with(tmp_path, settings=weighted, logs=[text])
    assessment = services.assess(folder)
    assert profile(assessment, "depth_mm") == [(round(1000 * depth),) for depth, _ in pairs]
    # Window of 900 mm above 2700: each reading stands for the length since the one before it,
    # by hand 300·5.6 + 150·6.0 + 300·6.5 + 150·8.0 = 5730 over 900 mm.
    assert pile_row(assessment)["final_torque_nm"] == pytest.approx(5730 / 900 * 1000)
    (folder / "project.toml").write_text(SETTINGS, encoding="utf-8")
    plain = pile_row(services.assess(folder))["final_torque_nm"]
    assert plain == pytest.approx((5.6 + 6.0 + 6.5 + 8.0) / 4 * 1000)


def flagged(depth):
    """A good log whose reading at ``depth`` was missed and says so."""
    head, *rows = log().splitlines()
    marked = [
        f"{row.rsplit(',', 1)[0]},,missed" if f",{depth}," in row else f"{row}," for row in rows
    ]
    return "\n".join([f"{head},Flag", *marked]) + "\n"


def without(depth):
    """A good log that has no row at ``depth``."""
    return "".join(f"{row}\n" for row in log().splitlines() if f",{depth}," not in row)


@pytest.mark.parametrize("text", [flagged("2.4"), without("2.4")], ids=["flagged", "absent"])
def test_case_14_a_missing_reading_is_a_gap_and_is_never_interpolated(tmp_path, text):
    assessment = services.assess(small_project(tmp_path, text))
    found = objections(assessment)
    assert found["reading gap in the final window"] == "no evidence"
    assert found["required torque"] == "no evidence"
    assert math.isnan(pile_row(assessment)["final_torque_nm"])
    assert state(assessment) == "record incomplete"
    rows = dict(profile(assessment, "depth_mm", "torque_nm"))
    assert 2400 not in rows or math.isnan(rows[2400])


def test_case_15_depths_that_run_backwards_are_a_problem_with_both_rows():
    result = taken("Pile,Run,Depth (m),Torque (kN·m)\n101,1,0.9,1\n101,1,0.6,2\n101,1,1.2,3\n")
    assert problems(result) == [("depths out of order", 3)]
    assert "(row 2)" in words(result)
    assert result.frames["torque_reading"]["row_no"].tolist() == [4]


def test_case_15_backed_out_is_a_direction_or_a_run_of_its_own():
    head = "Pile,Run,Depth (m),Torque (kN·m),Direction,Event at depth\n"
    reversed_ = head + "101,1,0.9,1,,\n101,1,0.6,2,reversed,backed out\n101,1,1.2,3,,\n"
    next_run = head + "101,1,0.9,1,,\n101,2,0.6,2,,\n101,2,1.2,3,,\n"
    for text in (reversed_, next_run):
        result = taken(text)
        assert problems(result) == []
        assert len(result.frames["torque_reading"]) == 3


def test_case_16_a_repeated_depth_is_refused_with_both_rows_named():
    result = taken("Pile,Run,Depth (m),Torque (kN·m)\n101,1,0.6,1\n101,1,0.9,2\n101,1,0.9,2.5\n")
    assert problems(result) == [("repeated key", 4)]
    assert "Row 3 holds the same" in words(result)
    assert result.frames["torque_reading"]["row_no"].tolist() == [2]


def test_case_17_each_reading_has_its_own_gauge_curve_and_certificate(tmp_path):
    curves = POINTS + "".join(
        f"{gauge},{certificate},2026-01-10,2026-01-10,{until},{no},{bar},{knm}\n"
        for gauge, certificate, until, slope in (
            ("G-1", "C-9", "2027-01-09", 10),
            ("G-2", "C-8", "2026-03-01", 20),
        )
        for no, bar, knm in ((1, 10, 10 / slope), (2, 200, 200 / slope))
    )
    head = "Pile,Run,Date,Rig,Toe depth (m),Stop,Depth (m),Differential pressure (bar),Instrument\n"
    start = "101,1,2026-03-02,Rig 1,0.9,instructed"
    text = head + f"{start},0.3,60,G-1\n{start},0.6,60,G-1\n{start},0.9,60,G-2\n"
    folder = project_with(tmp_path)
    taken_in(folder, ("gauges.csv", GAUGES), ("curves.csv", curves), ("log.csv", text))
    assessment = services.assess(folder)
    found = profile(assessment, "instrument_id", "torque_read_nm", "certificate")
    assert [gauge for gauge, _, _ in found] == ["G-1", "G-1", "G-2"]
    assert profile(assessment, "torque_nm")[:2] == [(6000.0,), (6000.0,)]
    assert objections(assessment)["calibration in force"] == "no evidence"
    in_force = curves.replace("2026-03-01", "2027-01-09")
    taken_in(folder, ("curves.csv", in_force))
    assessment = services.assess(folder)
    assert profile(assessment, "torque_nm") == [(6000.0,), (6000.0,), (3000.0,)]
    assert "calibration in force" not in objections(assessment)


def test_case_18_no_torque_shown_is_no_low_reading(tmp_path):
    in_window = [*GOOD[:8], 0, GOOD[9]]
    assessment = services.assess(small_project(tmp_path / "window", log(torques=in_window)))
    found = objections(assessment)
    assert found["required torque"] == "no evidence"  # and not *not met*: nothing was measured
    assert found["calibrated range"] == "no evidence"
    assert math.isnan(dict(profile(assessment, "depth_mm", "torque_nm"))[2700])
    above = services.assess(small_project(tmp_path / "above", log(torques=[0, *GOOD[1:]])))
    assert profile(above, "range")[0] == ("below",)
    assert objections(above) == {}
