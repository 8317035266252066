"""Days are clear, said, or proven by their column; a day that may be two days is asked about."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from core.readers.dates import dates, days_of, proven_order
from core.readers.options import Locale
from tests.readers.cells import faulted, read, table
from tests.readers.files import kinds, said, taken

DMY, MDY, YMD = "day month year", "month day year", "year month day"


def days(*texts, order=""):
    found = dates(pd.Series(texts, dtype="str"), order)
    return ["" if np.isnat(day) else str(day)[:10] for day in found]


@pytest.mark.parametrize(
    "text",
    [
        "2026-03-04", "2026/03/04", "2026.3.4", "2026 03 04", "2026-03-04 00:00:00",
        "2026-03-04T00:00", "2026-03-04 00:00:00.000", "4 March 2026", "4 Mar 2026", "04-Mar-26",
        "4.Mar.2026", "March 4, 2026", "Mar 4 2026", "4th March 2026", "2026-Mar-04", "04MAR2026",
    ],
)  # fmt: skip
@pytest.mark.parametrize("order", ["", DMY, MDY, YMD, "day number"])
def test_a_year_in_front_or_a_month_in_letters_is_clear_in_every_order(text, order):
    assert days(text, order=order) == ["2026-03-04"]


@pytest.mark.parametrize(
    ("order", "day"), [(DMY, "2026-04-03"), (MDY, "2026-03-04"), ("", ""), ("day number", "")]
)
@pytest.mark.parametrize("mark", ["/", ".", "-", " ", ". "])
def test_three_numbers_are_read_in_the_order_that_is_said(order, day, mark):
    assert days(f"03{mark}04{mark}2026", order=order) == [day]


@pytest.mark.parametrize(
    ("order", "day"), [(DMY, "2005-04-03"), (MDY, "2005-03-04"), (YMD, "2003-04-05"), ("", "")]
)
def test_a_year_of_two_figures_is_of_this_century(order, day):
    assert days("03/04/05", order=order) == [day]


@pytest.mark.parametrize(
    "text",
    ["31/02/2026", "2026-02-30", "0206-03-04", "3/4", "20260304", "46085", "3/4-2026", "4 Mai 2026",
     "2026-03-04 07:30", "3/4/20266", "3/4/1926", "2026-25-03", "٣/4/2026", "4 Mar 026"],
)  # fmt: skip
@pytest.mark.parametrize("order", ["", DMY, MDY, YMD])
def test_what_is_no_day_in_any_order_is_none(text, order):
    assert days(text, order=order) == [""]


def test_a_day_that_is_the_same_in_every_order_is_clear():
    assert days("04/04/2026", "04/04/26") == ["2026-04-04", ""]


def test_day_numbers_are_the_spreadsheets_count():
    # 25569 days from a spreadsheet's day 0 to 1 January 1970 (from memory; by the calendar:
    # 70 years of 365 days, 17 leap days, and 2 for the count's start and its 29 February 1900).
    assert 70 * 365 + 17 + 2 == 25569
    assert days("25569", "25569.75", "46085", "59", "1E5", order="day number") == [
        "1970-01-01", "1970-01-01", "2026-03-04", "", "",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("texts", "order"),
    [
        (("03/04/2026", "25/03/2026"), DMY),
        (("03/04/2026", "03/25/2026"), MDY),
        (("03/25/26",), MDY),
        (("03/04/2026",), ""),
        (("25/03/2026", "03/25/2026"), ""),
        (("25/03/26",), ""),  # 25 March 2026 or 26 March 2025
        (("25/03/26", "25/03/2026"), DMY),
        (("2026-03-25", "25 March 2026", "n/a"), ""),
        ((), ""),
    ],
)
def test_an_order_is_proven_when_it_alone_fits_every_date(texts, order):
    assert proven_order(pd.Series(texts, dtype="str")) == order


def test_days_of_rows_are_known_without_a_word():
    texts = pd.Series(["03/04/2026", None, "25/03/2026"], dtype="str")
    proven = days_of(texts, Locale())
    assert [str(day)[:10] for day in proven] == ["2026-04-03", "NaT", "2026-03-25"]
    assert np.isnat(days_of(texts[:1], Locale())).all()
    said_order = days_of(texts[:1], Locale(date_order=MDY))
    assert str(said_order[0])[:10] == "2026-03-04"


def issued(*texts, order="", **more):
    return read(table("calibration", issued_on=texts, **more), order=order)


def test_a_proven_order_is_used_and_remarked():
    result = issued("03/04/2026", "25/03/2026")
    assert faulted(result) == []
    assert str(result.values["issued_on"][0])[:10] == "2026-04-03"
    assert result.notices["notice"].tolist() == [
        "Dates are read as day month year, because 25/03/2026 can be nothing else."
    ]
    assert result.notices["row"].tolist() == [3]


def test_dates_that_prove_an_order_together_are_remarked():
    result = issued("03/04/2026", "25/03/26")
    assert faulted(result) == []
    assert "because no other order fits all of them" in result.notices["notice"][0]


def test_one_column_proves_the_order_of_all():
    result = issued("03/04/2026", valid_to_on=["25/03/2027"])
    assert faulted(result) == []
    assert str(result.values["issued_on"][0])[:10] == "2026-04-03"
    assert len(issued("03/04/2026", order=DMY).notices) == 0


def test_an_order_that_nobody_has_said_is_asked_once_with_both_days():
    result = issued("2026-03-01", "03/04/2026", "05/04/2026")
    assert faulted(result) == [("date order", 3)]
    assert list(result.bad) == [False, True, True]
    assert result.said == (
        "issued_on is 03/04/2026: 3 April (Friday) or 4 March (Wednesday)? "
        "Say the order of dates on Import, or import with --date-order."
    )


def test_dates_of_two_orders_in_one_column_are_asked_about():
    result = issued("25/03/2026", "03/25/2026", "01/02/2026")
    assert faulted(result) == [("date order", 4)]
    assert result.bad.all()
    result = issued("25/03/2026", "03/25/2026")
    assert "25 March (Wednesday), while other rows are in another order?" in result.said


def test_a_year_of_two_figures_is_asked_with_its_years():
    assert "25 March 2026 (Wednesday)" in issued("25/03/26").said
    assert "26 March 2025 (Wednesday)" in issued("25/03/26").said


def test_a_date_beside_the_order_that_was_said_is_a_problem():
    result = issued("25/03/2026", "03/04/2026", order=MDY)
    assert faulted(result) == [("not a date", 2)]
    assert "not read as a date in the order month day year" in result.said


@pytest.mark.parametrize(
    ("text", "remedy"),
    [
        ("46085", "Format the column as a date, or set the date order to day numbers."),
        ("2026-03-04 07:30", "Write the day alone"),
        ("soon", "Write year, month and day"),
    ],
)
def test_what_is_no_date_says_what_to_do(text, remedy):
    result = issued(text)
    assert faulted(result) == [("not a date", 2)]
    assert remedy in result.said


def test_days_of_a_log_complete_its_times():
    text = "Pile,Date,Depth (m),Differential pressure (bar),Time\n1,25/03/2026,1,20,07:30\n"
    result = taken(text)
    assert said(result) == ""
    read_at = result.frames["torque_reading"]["read_at"]
    assert read_at.tolist() == [pd.Timestamp("2026-03-25 12:30")]  # Chicago in summer time
    assert kinds(taken(text.replace("25/", "05/")))[0][0] in ("date order", "no date")
