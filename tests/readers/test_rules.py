"""What one file can break by itself: each rule of reading with its rows named."""

from __future__ import annotations

import pytest

from tests.readers.files import CERTIFICATE, TYPICAL, kinds, readings, said, taken

RUN = "Pile,Date,Start,End,Toe (m),Stop\n"


def depths(result):
    frame = result.frames["torque_reading"]
    return list(frame["depth_mm"])


def test_a_missing_required_value_is_named():
    result = readings("1,1,0.3,20", ",1,0.6,20", "1,1,,20")
    assert kinds(result) == [("missing value", 3), ("missing value", 4)]
    assert depths(result) == [300]


def test_a_depth_above_ground_is_impossible():
    result = readings("1,1,-0.3,20", "1,1,0,20")
    assert kinds(result) == [("impossible value", 2)]
    assert "The minimum possible value is 0 mm" in said(result)
    assert depths(result) == [0]


def test_a_depth_beyond_every_pile_is_impossible():
    result = readings("1,1,100,20", "1,1,100.001,20")
    assert kinds(result) == [("impossible value", 3)]
    assert depths(result) == [100_000]


def test_a_repeated_key_names_both_rows_and_neither_is_taken():
    result = readings("1,1,0.3,20", "1,1,0.6,20", "1,01,0.3,20", "1,1,0.6,25")
    assert kinds(result) == [("repeated key", 5)]
    assert "Row 3 holds the same: pile 1, run 1, depth 0.6." in said(result)
    assert depths(result) == [300, 300]
    assert result.rows_left_out == 2


def test_a_position_twice_in_one_revision_is_a_repeated_key():
    text = TYPICAL["SI"]["schedule"]
    row = text.splitlines()[1]
    assert kinds(taken(text + row + "\n")) == [("repeated key", 3)]
    assert kinds(taken(text + row.replace("101,A", "101,B") + "\n")) == []


def test_depths_must_increase_down_the_pile():
    result = readings("P-117,1,6.3,20", "P-117,1,6.6,20", "P-118,1,0.3,20", "P-117,1,6.4,20")
    assert kinds(result) == [("depths out of order", 5)]
    assert said(result) == (
        "Pile P-117: depth 6400 mm follows 6600 mm (row 3). "
        "Depths must increase down the pile. Put the rows in order or correct the depth."
    )
    assert depths(result) == [6300, 300]


def test_depths_may_decrease_while_turning_in_reverse():
    header = "Pile,Run,Depth (m),Differential pressure (bar),Direction"
    rows = ("1,1,2,20,advancing", "1,1,1.5,15,reversed", "1,1,1.8,20,")
    assert said(readings(*rows, header=header)) == ""
    assert kinds(readings(*rows, "1,1,1.7,9,advancing", header=header)) == [
        ("depths out of order", 5)
    ]


def test_a_reading_needs_pressure_or_torque_unless_it_was_missed():
    header = "Pile,Run,Depth (m),Differential pressure (bar),Torque (Nm),Flag"
    rows = (
        "1,1,0.3,20,,",
        "1,1,0.6,,900,",
        "1,1,0.9,,,missed",
        "1,1,1.2,,,",
        "1,1,1.5,,,estimated",
    )
    result = readings(*rows, header=header)
    assert kinds(result) == [("missing value", 5), ("missing value", 6)]
    assert depths(result) == [300, 600, 900]


def test_times_of_readings_must_not_go_back():
    header = "Pile,Run,Depth (m),Differential pressure (bar),Time"
    rows = ("1,1,0.3,20,2026-03-04 23:50", "1,1,0.6,20,2026-03-04 00:10")
    assert kinds(readings(*rows, header=header)) == [("times out of order", 3)]
    same = ("1,1,0.3,20,2026-03-04 23:50", "1,1,0.6,20,2026-03-04 23:50")
    assert said(readings(*same, header=header)) == ""


@pytest.mark.parametrize(
    ("end", "problems"), [("07:29", 1), ("07:30", 0), ("2026-03-05 00:10", 0), ("", 0)]
)
def test_a_run_does_not_end_before_it_starts(end, problems):
    result = taken(f"{RUN}1,2026-03-04,07:30,{end},6,instructed\n")
    assert kinds(result) == [("times out of order", 2)] * problems


@pytest.mark.parametrize("cells", ["6,instructed", ",", "6,", ",instructed"])
def test_a_run_without_toe_depth_or_reason_for_stopping_is_read_and_stays_open(cells):
    assert kinds(taken(f"{RUN}1,2026-03-04,07:30,,{cells}\n")) == []


@pytest.mark.parametrize(("last", "problems"), [("2026-01-01", 1), ("2026-01-02", 0)])
def test_a_certificate_does_not_end_before_it_begins(last, problems):
    result = taken(TYPICAL["SI"]["calibration"].replace("2027-01-01", last))
    assert kinds(result) == [("dates out of order", 2)] * problems


def test_a_curve_increases_in_pressure_and_torque():
    result = taken(CERTIFICATE.replace("low,2,100,10", "low,2,100,2"))
    assert kinds(result) == [("curve not increasing", 3)]
    assert set(result.frames["calibration_point"]["gear"]) == {"high"}
    result = taken(CERTIFICATE.replace("high,2,100,5", "high,2,19,5"))
    assert kinds(result) == [("curve not increasing", 5)]


def test_a_curve_has_two_points_at_least():
    text = "".join(TYPICAL["SI"]["calibration_point"].splitlines(keepends=True)[:2])
    assert kinds(taken(text)) == [("short curve", 2)]


def test_a_curve_has_pressure_at_all_points_or_at_none():
    text = TYPICAL["SI"]["calibration_point"]
    assert kinds(taken(text.replace("2,100,", "2,,"))) == [("missing value", 3)]
    assert kinds(taken(text.replace("2,100,", "2,,").replace("1,20,", "1,,"))) == []


def test_points_of_a_bad_certificate_are_left_out_with_it():
    result = taken(CERTIFICATE.replace("2027-01-01", "2025-01-01"))
    assert kinds(result) == [("dates out of order", 2)]
    assert len(result.frames["calibration"]) == len(result.frames["calibration_point"]) == 0
    assert len(result.frames["instrument"]) == 1
    assert result.rows_left_out == 4


LOG = "Pile,Date,Depth (m),Torque (kN·m),Turning,Flag,Toe depth (m),Stop\n"


def log(*rows, pile="101", toe="2.70"):
    end = f"{toe},instructed"
    return "".join(f"{pile},2026-03-04,{row},{end}\n" for row in rows)


def test_a_toe_above_a_reading_names_both_rows_and_leaves_the_run_out():
    text = LOG + log("2.70,5,,", "3.00,6,,") + log("2.40,4,,", "2.70,5,,", pile="102")
    result = taken(text)
    assert kinds(result) == [("toe above reading", 2)]
    assert "Pile 101: the toe 2.70 m (row 2) is above the reading at 3.00 m (row 3)." in said(
        result
    )
    assert list(result.frames["run"]["pile_id"]) == ["102"]
    assert list(result.frames["torque_reading"]["pile_id"]) == ["102", "102"]
    assert result.rows_left_out == 2


def test_a_toe_is_above_a_reading_by_any_amount():
    assert kinds(taken(LOG + log("2.701,5,,"))) == [("toe above reading", 2)]
    assert kinds(taken(LOG + log("2.700,5,,"))) == []


@pytest.mark.parametrize("row", ["3.00,6,reversed,", "3.00,,,missed"])
def test_a_reading_missed_or_in_reverse_says_nothing_about_the_toe(row):
    result = taken(LOG + log("2.70,5,,", row))
    assert said(result) == ""
    assert len(result.frames["torque_reading"]) == 2


def test_toe_and_depth_in_two_units_are_compared_as_lengths():
    text = LOG.replace("Toe depth (m)", "Toe depth (ft)")
    assert kinds(taken(text + log("2.70,5,,", toe="8.86"))) == []
    result = taken(text + log("2.70,5,,", toe="8.80"))
    assert "the toe 8.80 ft (row 2) is above the reading at 2.70 m (row 2)" in said(result)


SCHEDULE = (
    "Position,Rev,Issued,Status,Area,Type,Easting (m),Northing (m),Compression (kN),"
    "Required torque (kN·m),Rated torque (kN·m)\n1,A,2026-01-05,ifc,North,P1,1,2,"
)


@pytest.mark.parametrize(("cells", "problems"), [("0,6,12", 0), (",,", 0), ("9,0,12", 1)])
def test_no_torque_is_an_empty_cell_and_not_zero(cells, problems):
    result = taken(f"{SCHEDULE}{cells}\n")
    assert kinds(result) == [("impossible value", 2)] * problems
    assert ("Leave the cell empty when there is none" in said(result)) == bool(problems)


def test_a_rated_torque_of_zero_is_a_problem_of_its_row():
    result = taken(f"{SCHEDULE}9,6,0.0\n")
    assert kinds(result) == [("impossible value", 2)]
    assert "Rated torque (kN·m) is 0.0" in said(result)
    assert result.rows_left_out == 1


@pytest.mark.parametrize(("replaced", "problems"), [("101A", 1), ("101", 0), ("", 0)])
def test_a_pile_does_not_replace_itself(replaced, problems):
    result = taken(f"Pile,Position served,Replaces\n101A,101,{replaced}\n")
    assert kinds(result) == [("replaces itself", 2)] * problems
    assert len(result.frames["pile"]) == 1 - problems


def test_a_negative_load_is_told_that_its_direction_has_a_column():
    result = taken(SCHEDULE.replace("Compression", "Tension") + "-9,6,12\n")
    assert kinds(result) == [("impossible value", 2)]
    assert "without a sign: compression and tension have columns of their own" in said(result)
