"""Numbers are read by the decimal mark that is said; nothing is guessed when nobody has said."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from core.readers.cell_texts import NUMBER, TEXT
from core.readers.numbers import numbers, style
from core.readers.options import Locale
from tests.readers.cells import faulted, read, table


def value(text, decimal=""):
    return numbers(pd.Series([text], dtype="str"), decimal)[0]


@pytest.mark.parametrize(
    ("text", "number"),
    [("12.5", 12.5), ("-3", -3), ("+.5", 0.5), ("1e3", 1000), ("−5", -5), ("\u00a012.5", 12.5)],
)
@pytest.mark.parametrize("decimal", ["", "point"])
def test_a_plain_number_needs_no_convention(text, number, decimal):
    assert value(text, decimal) == number


@pytest.mark.parametrize(
    "text", ["1,234.5", "1 234.5", "1'234.5", "1’234.5", "1\u00a0234.5", "1\u202f234.5"]
)
def test_thousands_before_a_point_are_read_when_the_point_is_said(text):
    assert value(text, "point") == 1234.5
    assert np.isnan(value(text, "comma"))
    assert np.isnan(value(text))


@pytest.mark.parametrize("text", ["1.234,5", "1 234,5", "1'234,5", "1\u2009234,5", "1234,5"])
def test_thousands_before_a_comma_are_read_when_the_comma_is_said(text):
    assert value(text, "comma") == 1234.5
    assert np.isnan(value(text, "point"))
    assert np.isnan(value(text))


@pytest.mark.parametrize(
    "text", ["1,23.5", "12,34", "0,600", "1,234 567", "1,,234", "1,2345", "1,234,56", ",234.5"]
)
def test_thousands_stand_in_groups_of_exactly_three_with_one_mark(text):
    assert np.isnan(value(text, "point"))


def test_one_text_is_two_numbers_by_the_two_conventions():
    assert (value("1,234", "point"), value("1,234", "comma")) == (1234, 1.234)
    assert (value("1.234", "point"), value("1.234", "comma")) == (1.234, 1234)
    assert [style(text) for text in ("1,234", "0,6", "0.6", "7", "7-8")] == [
        "either", "comma", "point", "either", "",
    ]  # fmt: skip


def pressures(*texts, decimal="", forms=None):
    return read(table("torque_reading", pressure_kpa=texts, forms=forms), decimal=decimal)


def test_a_decimal_comma_that_nobody_has_stated_is_asked_about_once():
    result = pressures("5", "0,6", "0,7", "1,234")
    assert faulted(result) == [("decimal mark", 3)]
    assert list(result.bad) == [False, True, True, True]
    assert "is 0,6, which has a decimal comma. Rows so written: 3." in result.said
    assert "--decimal comma" in result.said


def test_a_comma_that_may_be_either_mark_names_both_numbers():
    result = pressures("1,234")
    assert faulted(result) == [("decimal mark", 2)]
    assert "may be 1234 or 1.234" in result.said


def test_a_mark_of_thousands_is_asked_about():
    assert "has a mark of thousands" in pressures("1,234.5").said


def test_said_conventions_leave_nothing_to_ask():
    assert pressures("5", "0,6", "1.234,5", decimal="comma").values["pressure_kpa"].tolist() == [
        5, 0.6, 1234.5,
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("decimal", "texts", "rows"),
    [
        ("", ("0.6", "0.7", "0,8"), [4]),
        ("point", ("0.6", "0,7", "0,8"), [3, 4]),
        ("comma", ("0,6", "0.7", "1.234"), [3]),
    ],
)
def test_a_column_with_both_styles_is_a_problem_of_its_odd_rows(decimal, texts, rows):
    result = pressures(*texts, decimal=decimal)
    assert faulted(result) == [("two number styles", row) for row in rows]
    assert f"{texts[rows[0] - 2]} here and {texts[0]} in row 2: two decimal marks" in result.said


def test_when_most_rows_have_a_comma_the_points_are_odd_and_the_comma_is_asked():
    result = pressures("0,6", "0.7", "0,8")
    assert faulted(result) == [("decimal mark", 2), ("two number styles", 3)]
    assert result.bad.all()


def test_a_column_in_the_style_that_was_not_said_is_one_problem():
    result = pressures("0.6", "0.7", decimal="comma")
    assert faulted(result) == [("decimal mark", 2)]
    assert "has a decimal point; the file is said to write a comma" in result.said
    assert result.bad.all()


def test_a_number_held_by_a_spreadsheet_has_a_point_whatever_was_said():
    forms = {"pressure_kpa": np.array([NUMBER, TEXT, NUMBER], dtype="uint8")}
    result = pressures("1.234", "1.234", "0.6", decimal="comma", forms=forms)
    assert result.values["pressure_kpa"].tolist() == [1.234, 1234, 0.6]
    assert faulted(result) == []


def test_a_date_in_a_column_of_numbers_says_what_the_spreadsheet_did():
    result = pressures("2026-06-24")
    assert faulted(result) == [("not a number", 2)]
    assert "If a spreadsheet made a date of it" in result.said


@pytest.mark.timeout(60)  # under a second on two cores; slack for a busy machine
def test_three_hundred_thousand_numbers_are_read_once_each():
    texts = pd.Series([f"{at % 5000}.5" for at in range(300_000)], dtype="str")
    assert numbers(texts).sum() == pytest.approx(300_000 * (4999 / 2 + 0.5))
    conventions = Locale(decimal="comma")
    commas = texts.str.replace(".", ",")
    assert (numbers(commas, conventions.decimal) == numbers(texts)).all()
