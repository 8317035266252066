"""Files for spreadsheets: no text of a file is a formula there, and numbers stay numbers."""

import csv
import io

import pandas as pd
import pytest

from core.reports.books import csv_file


def cells(content: bytes, encoding="utf-8"):
    return list(csv.reader(io.StringIO(content.decode(encoding), newline="")))


@pytest.mark.parametrize(
    "text",
    ['=HYPERLINK("http://127.0.0.1")', "+1+1", "-2+3", "@SUM(A1)", "\t=1", "\n=1", " =1", "＝1"],
)
def test_a_text_that_begins_like_a_formula_is_text(text):
    frame = pd.DataFrame({"pile": [text, "B12-1"], "number": [-2.5, 3.0]})
    assert cells(csv_file(frame))[1:] == [[f"'{text}", "-2.5"], ["B12-1", "3.0"]]


def test_numbers_dates_and_ordinary_text_are_as_they_were():
    frame = pd.DataFrame(
        {"a": ["P-1", None], "b": [-1, 2], "c": pd.to_datetime(["2026-01-02", None]),
         "d": [True, False], "e": pd.array([-3, None], dtype="Int64")}
    )  # fmt: skip
    assert csv_file(frame) == frame.to_csv(index=False, lineterminator="\n").encode()


def test_a_carriage_return_ends_no_row():
    frame = pd.DataFrame({"note": ["done\r=1+1", "a\r\nb"]})
    assert cells(csv_file(frame))[1:] == [["done\n=1+1"], ["a\nb"]]


def test_two_columns_of_one_name_are_both_escaped():
    frame = pd.DataFrame([["=1", "=2"]], columns=["a", "a"])
    assert cells(csv_file(frame))[1] == ["'=1", "'=2"]


def test_a_byte_order_mark_goes_in_front_when_asked():
    assert csv_file(pd.DataFrame({"a": ["é"]}), "utf-8-sig").startswith(b"\xef\xbb\xbfa")
