"""Times of day and moments in the spellings of crews, loggers and spreadsheets."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from tests.readers.cells import faulted, read, table


def started(*texts, order="", run_on="2026-07-01"):
    cells = table("run", pile_id=["1"] * len(texts), run_on=[run_on] * len(texts), started_at=texts)
    return read(cells, order=order)


def moment(text, **known):
    result = started(text, **known)
    assert faulted(result) == []
    return pd.Timestamp(result.values["started_at"][0])


@pytest.mark.parametrize(
    "text",
    ["7:30", "07:30", "07:30:00", "07:30:00.000", "7:30 AM", "7:30am", "07:30 a.m.", "0730"],
)
def test_a_time_of_day_is_completed_by_its_day(text):
    assert moment(text) == pd.Timestamp("2026-07-01 12:30")  # Chicago in summer is UTC-5


@pytest.mark.parametrize(
    ("text", "local"),
    [("7:30 PM", "19:30"), ("12:05 AM", "00:05"), ("12:05 pm", "12:05"), ("1905", "19:05")],
)
def test_half_days_and_four_figures(text, local):
    assert moment(text) == pd.Timestamp(f"2026-07-01 {local}") + pd.Timedelta(hours=5)


def test_a_fraction_of_a_second_is_kept():
    assert moment("07:30:15.250") == pd.Timestamp("2026-07-01 12:30:15.250")


@pytest.mark.parametrize(
    ("text", "order"),
    [
        ("03/07/2026 07:30", "day month year"),
        ("07/03/2026 7:30 AM", "month day year"),
        ("3 Jul 2026 07:30", ""),
        ("July 3, 2026 07:30", ""),
        ("2026-07-03T07:30:00", ""),
        ("2026-07-03 07:30-05:00", "day month year"),
        ("46206.3125", "day number"),
    ],
)
def test_the_day_of_a_moment_follows_the_order_of_dates(text, order):
    assert moment(text, order=order) == pd.Timestamp("2026-07-03 12:30")


def test_a_moments_day_may_prove_the_order():
    result = started("25/03/2026 07:30", "03/04/2026 07:30")
    assert faulted(result) == []
    assert str(result.values["started_at"][1])[:10] == "2026-04-03"
    assert "25/03/2026 can be nothing else" in result.notices["notice"][0]


def test_a_moment_that_may_be_two_days_is_asked_about_once():
    result = started("03/04/2026 07:30", "03/04/2026 08:30")
    assert faulted(result) == [("date order", 2)]
    assert "3 April (Friday) or 4 March (Wednesday)?" in result.said
    assert result.bad.all()


@pytest.mark.parametrize(
    "text", ["7.30", "730", "25:00", "24:00", "13:30 PM", "0:30 AM", "7:60", "2026-07-01", "1 2026"]
)
def test_what_is_no_time_is_a_problem(text):
    assert faulted(started(text)) == [("not a time", 2)]


def test_a_part_of_a_day_is_said_to_be_one():
    result = started("0.3125")
    assert faulted(result) == [("not a time", 2)]
    assert "a time as a part of the day. Format the column as time" in result.said
    assert np.isnat(result.values["started_at"]).all()
