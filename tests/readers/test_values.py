"""Cells become numbers, dates, moments and words, or a problem that says what to write."""

from __future__ import annotations

import pandas as pd
import pytest

from tests.readers.files import TYPICAL, kinds, readings, said, taken

RUNS = "Pile,Date,Start,End,Rig\n"


def test_lengths_along_a_pile_become_whole_millimetres_after_conversion():
    result = taken("Pile,Depth (ft),Differential pressure (bar)\n1,12.3,20\n1,12.4,20\n")
    assert list(result.frames["torque_reading"]["depth_mm"]) == [3749, 3780]


def test_half_a_millimetre_goes_to_the_even_one():
    result = taken("Pile,Depth (m),Differential pressure (bar)\n1,1.0005,20\n1,1.0015,20\n")
    assert list(result.frames["torque_reading"]["depth_mm"]) == [1000, 1002]


def test_pressure_and_torque_are_converted():
    # NIST SP 811 (2008), App. B.8, psi: 6.894 757 E+00 kPa (figure from memory).
    result = taken(TYPICAL["US"]["torque_reading"])
    frame = result.frames["torque_reading"]
    assert frame["pressure_kpa"].iloc[0] == pytest.approx(350 * 6.894757, rel=1e-6)
    assert frame["torque_read_nm"].iloc[1] == pytest.approx(1800 * 1.355818, rel=1e-6)


@pytest.mark.parametrize(
    ("value", "remedy"),
    [
        ('"1,2,3"', "as it was read"),
        ("20 bar", "unit belongs in the header"),
        ("n/a", "Leave the cell empty"),
        ("-", "Leave the cell empty"),
        ("TBC", "Leave the cell empty"),
        ("nan", "as it was read"),
        ("inf", "as it was read"),
        ("1e999", "as it was read"),
        ("0x10", "as it was read"),
        ("12 34", "as it was read"),
        ("٣", "as it was read"),
    ],
)
def test_what_is_no_plain_number_is_a_problem_that_says_how_to_write_it(value, remedy):
    result = readings("1,1,0.3,20", f"1,1,0.6,{value}")
    assert kinds(result) == [("not a number", 3)]
    assert remedy in said(result)
    assert result.problems["value"].tolist() == [value.strip('"')]
    assert result.problems["column"].tolist() == ["Differential pressure (bar)"]


@pytest.mark.parametrize("name", ["0012", "1E5", "P-1", "007.0", "NA", "None", "1/2"])
def test_numbers_of_piles_stay_as_written(name):
    result = readings(f"{name},02,0.3,20")
    frame = result.frames["torque_reading"]
    assert (list(frame["pile_id"]), list(frame["run_no"])) == ([name], ["02"])


def test_a_file_without_run_numbers_has_run_one():
    frame = taken("Pile,Depth (m),Differential pressure (bar)\n1,0.3,20\n").frames["torque_reading"]
    assert list(frame["run_no"]) == ["1"]


@pytest.mark.parametrize("day", ["2026-02-30", "20260304", "0206-03-04", "March 2026"])
def test_a_date_that_is_no_day_is_a_problem(day):
    result = taken(f"{RUNS}1,{day},,,R\n")
    assert kinds(result) == [("not a date", 2)]
    assert "2026-03-04" in said(result)


@pytest.mark.parametrize(
    ("start", "utc"),
    [
        ("07:30", "2026-07-01 12:30"),  # Chicago in summer is five hours behind
        ("7:30:15", "2026-07-01 12:30:15"),
        ("2026-06-30 23:00", "2026-07-01 04:00"),
        ("2026-06-30T23:00:05", "2026-07-01 04:00:05"),
        ("2026-06-30 23:00+02:00", "2026-06-30 21:00"),
        ("2026-06-30 23:00Z", "2026-06-30 23:00"),
    ],
)
def test_moments_in_the_projects_zone_become_utc(start, utc):
    result = taken(f"{RUNS}1,2026-07-01,{start},,R\n")
    assert said(result) == ""
    assert result.frames["run"]["started_at"].iloc[0] == pd.Timestamp(utc)


@pytest.mark.parametrize("start", ["25:00", "7.30", "noon", "2026-07-01", "24:00"])
def test_what_is_no_time_is_a_problem(start):
    assert kinds(taken(f"{RUNS}1,2026-07-01,{start},,R\n")) == [("not a time", 2)]


def test_a_time_without_any_day_is_a_problem():
    result = readings(
        "1,1,0.3,20,07:30", header="Pile,Run,Depth (m),Differential pressure (bar),Time"
    )
    assert kinds(result) == [("no date", 2)]


@pytest.mark.parametrize("start", ["2026-03-08 02:30", "2026-11-01 01:30"])
def test_a_clock_reading_that_happens_twice_or_never_is_a_problem(start):
    # The United States change their clocks on the second Sunday of March and the first of November.
    result = taken(f"{RUNS}1,2026-03-04,{start},,R\n")
    assert kinds(result) == [("clock change", 2)]
    clear = taken(f"{RUNS}1,2026-03-04,{start}-06:00,,R\n")
    assert said(clear) == ""


@pytest.mark.parametrize(
    "word", ["torque and depth reached", "Torque  And Depth Reached", "TORQUEANDDEPTHREACHED"]
)
def test_words_are_known_in_any_letter_case_and_spacing(word):
    result = taken(f"Pile,Date,Toe (m),Stop\n1,2026-03-04,6,{word}\n")
    assert list(result.frames["run"]["stop_reason"]) == ["torque and depth reached"]


def test_an_unknown_word_lists_the_allowed_ones():
    result = readings(
        "1,1,0.3,20,sideways", header="Pile,Run,Depth (m),Differential pressure (bar),Direction"
    )
    assert kinds(result) == [("unknown word", 2)]
    assert "Write one of: advancing, reversed." in said(result)


def test_allowed_words_with_commas_are_listed_apart():
    result = taken("Pile,Date,Toe (m),Stop\n1,2026-03-04,6,torque reached\n")
    assert "torque reached, depth not; depth reached, torque not;" in said(result)


def test_other_words_of_a_column_are_translated():
    frame = taken(TYPICAL["US"]["schedule"]).frames["schedule"]
    assert list(frame["status"]) == ["for construction"]


def test_type_marks_and_areas_are_those_of_the_project():
    text = TYPICAL["SI"]["schedule"]
    bad = taken(text.replace("North,P1", "East,P9"))
    assert sorted(kinds(bad)) == [("unknown word", 2), ("unknown word", 2)]
    assert "one of: North, South" in said(bad)
    assert "one of: P1" in said(bad)
    good = taken(text.replace("North,P1", "north,p1")).frames["schedule"]
    assert (list(good["area"]), list(good["pile_type"])) == (["North"], ["P1"])


def test_an_empty_cell_is_missing():
    frame = readings(
        "1,1,0.3,20,", header="Pile,Run,Depth (m),Differential pressure (bar),Event at depth"
    ).frames
    assert frame["torque_reading"]["event"].isna().all()
