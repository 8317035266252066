"""Cells of a workbook come out as a person would have written them, at the sheet's own places."""

from __future__ import annotations

import io
import zipfile
from datetime import date, datetime, time, timedelta

import pytest
from openpyxl import Workbook
from openpyxl.utils.datetime import CALENDAR_MAC_1904

from core.readers import books
from core.readers.cell_texts import DAY, FAULT, NUMBER, TEXT, TIME
from tests.readers.hostile_books import number_cell, old_book
from tests.readers.workbooks import STRUCK, cells, converted, grids, saved, workbook


def only(content: bytes, place: str = "A1") -> tuple[str, int]:
    """Text and form of one cell of the first sheet."""
    grid = grids(content)[0]
    column, row = ord(place[0]) - ord("A"), int(place[1:])
    at = grid.row_no.tolist().index(row)
    return grid.text(row, column), int(grid.forms[at, column])


@pytest.mark.parametrize(
    ("value", "text", "form"),
    [
        (101, "101", NUMBER),
        (101.0, "101", NUMBER),
        (101.1, "101.1", NUMBER),
        (0.1 + 0.2, "0.3", NUMBER),
        (-2.50, "-2.5", NUMBER),
        (0, "0", NUMBER),
        (1e15, "1E+15", NUMBER),
        (999_999_999_999_999, "999999999999999", NUMBER),
        (date(2026, 3, 4), "2026-03-04", DAY),
        (datetime(2026, 3, 4, 7, 30), "2026-03-04 07:30:00", DAY),
        (datetime(2026, 3, 4, 23, 59, 59), "2026-03-04 23:59:59", DAY),
        (time(7, 30), "07:30:00", TIME),
        (timedelta(hours=26, minutes=5), "26:05:00", TIME),
        (True, "TRUE", TEXT),
        (False, "FALSE", TEXT),
        ("0012345", "0012345", TEXT),
        ("4E12", "4E12", TEXT),
        ("\u00a0 101A \u00a0", "101A", TEXT),
        ("PT", "PT", TEXT),
    ],
)
def test_a_value_reads_as_it_is_written(value, text, form):
    assert only(cells(A1=value)) == (text, form)


def test_a_time_typed_in_a_sheet_is_whole_seconds():
    def almost_half_past_seven(sheet):
        sheet["A1"] = 0.31249999
        sheet["A1"].number_format = "hh:mm"

    assert only(workbook(almost_half_past_seven)) == ("07:30:00", TIME)


@pytest.mark.parametrize(
    ("value", "code", "text"),
    [
        (1e5, "0.00E+00", "1E+05"),
        (4e12, "0E+00", "4E+12"),
        (1234.5, "0.00E+00", "1.2345E+03"),
        (101, "0000", "0101"),
        (12345, "0000", "12345"),
        (0.2, "0%", "20%"),
        (0.57, "0.00%", "57%"),
        (101, "0", "101"),
        (101.25, "0.00", "101.25"),
        (101, '"E+"0', "101"),
    ],
)
def test_a_format_that_changes_what_is_seen_is_followed(value, code, text):
    def fill(sheet):
        sheet["A1"] = value
        sheet["A1"].number_format = code

    assert only(workbook(fill)) == (text, NUMBER)


def test_dates_counted_from_1904_are_the_same_dates():
    content = workbook(lambda sheet: sheet.append([date(2026, 3, 4)]), CALENDAR_MAC_1904)
    assert only(content) == ("2026-03-04", DAY)
    assert b"1904" in zipfile.ZipFile(io.BytesIO(content)).read("xl/workbook.xml")


def test_rows_and_columns_are_the_sheets_own():
    (grid,) = grids(cells(C3="Pile", C4="101", D7="6.3"))
    assert grid.row_no.tolist() == [3, 4, 7]
    assert grid.cells.columns.tolist() == [0, 1, 2, 3]
    assert (grid.text(4, 2), grid.text(7, 3), grid.text(5, 2)) == ("101", "6.3", "")
    assert grid.cells[0].isna().all()


def test_merged_areas_keep_their_place():
    def fill(sheet):
        sheet["C14"] = "Torque"
        sheet.merge_cells("C14:E15")

    assert grids(workbook(fill))[0].merged == ((14, 2, 15, 4),)


def test_every_worksheet_is_read_in_order_hidden_ones_too():
    book = Workbook()
    book.active.title = "First"
    book.active["A1"] = "Pile"
    book.create_sheet("Second").sheet_state = "hidden"
    book.create_chartsheet("Chart")
    book.create_sheet("Très & loin")["B2"] = "x"
    found = grids(saved(book))
    assert [(g.sheet, g.is_hidden, len(g.row_no)) for g in found] == [
        ("First", False, 1),
        ("Second", True, 0),
        ("Très & loin", False, 1),
    ]


def marked(sheet) -> None:
    """A log with one of everything that a reader of values does not see."""
    for row in (["Pile", "Depth", "Torque"], ["101", 0.3, 500], ["101", 0.6, 600]):
        sheet.append(row)
    sheet.append(["102", 0.3, 700])
    sheet.append(["102", None, None])
    for cell in sheet[3]:
        cell.font = STRUCK
    sheet["A4"].font = STRUCK
    sheet.row_dimensions[2].hidden = True
    sheet.row_dimensions[9].hidden = True
    sheet["B5"] = "#DIV/0!"
    sheet["F5"] = "#N/A"


def test_hidden_rows_struck_rows_and_faults_are_seen():
    (grid,) = grids(workbook(marked))
    assert grid.hidden == {2}
    assert grid.struck == {3}, "a row is struck when every written cell is"
    assert (grid.text(5, 1), grid.text(5, 5)) == ("#DIV/0!", "#N/A")
    assert (grid.forms[4, 1], grid.forms[4, 5], grid.forms[4, 0]) == (FAULT, FAULT, TEXT)
    assert grid.notices == ()


def test_a_formula_that_nobody_worked_out_is_a_fault():
    assert only(cells(A1="=2+3")) == ("#NO VALUE", FAULT)


def test_a_sheet_of_faults_alone_is_not_empty():
    assert only(cells(C2="#REF!"), "C2") == ("#REF!", FAULT)


@pytest.mark.parametrize("ending", ["ods", "xls"])
def test_open_and_old_workbooks_show_the_same_marks(ending, tmp_path):
    (grid,) = grids(converted(workbook(marked), ending, tmp_path))
    assert (grid.hidden, grid.struck) == ({2}, {3})
    assert (grid.text(5, 1), grid.text(5, 5)) == ("#DIV/0!", "#N/A")
    assert (grid.forms[4, 1], grid.text(2, 2), grid.notices) == (FAULT, "500", ())


def test_values_of_old_and_open_workbooks_are_the_same(tmp_path):
    def fill(sheet):
        sheet["B2"], sheet["C2"], sheet["D2"] = "0012345", 101, 0.1 + 0.2
        sheet["B3"], sheet["C3"] = date(2026, 3, 4), datetime(2026, 3, 4, 7, 30)
        sheet["B4"], sheet["C4"] = time(7, 30), timedelta(hours=26, minutes=5)
        sheet.merge_cells("B6:C6")
        sheet["B6"] = "end"

    content = workbook(fill)
    (wanted,) = grids(content)
    for ending in ("ods", "xls"):
        old = converted(content, ending, tmp_path)
        assert books.is_workbook(old)
        (grid,) = grids(old)
        assert grid.cells.fillna("").values.tolist() == wanted.cells.fillna("").values.tolist()
        assert grid.row_no.tolist() == wanted.row_no.tolist()
        assert grid.forms.tolist() == wanted.forms.tolist()
        assert (grid.merged, grid.sheet) == (wanted.merged, "Log")
        assert grid.notices == ()


@pytest.mark.parametrize("ending", ["ods", "xls"])
def test_formats_of_open_and_old_workbooks_are_followed(ending, tmp_path):
    def fill(sheet):
        sheet.append([101, 1e5, 0.2])
        for cell, code in zip(sheet[1], ("0000", "0.00E+00", "0%"), strict=True):
            cell.number_format = code

    (grid,) = grids(converted(workbook(fill), ending, tmp_path))
    assert grid.cells.iloc[0].tolist() == ["0101", "1E+05", "20%"]


def test_a_long_old_workbook_keeps_its_marks_in_their_places(tmp_path):
    def fill(sheet):
        for row in range(1, 3001):
            sheet.append([f"P{row}", row / 8, "=1/0" if row == 2500 else row])
        sheet.row_dimensions[2999].hidden = True

    (grid,) = grids(converted(workbook(fill), "xls", tmp_path))
    assert (grid.text(2500, 2), grid.text(2500, 0)) == ("#DIV/0!", "P2500")
    assert (grid.hidden, grid.forms.tolist().count([TEXT, NUMBER, FAULT])) == ({2999}, 1)


def test_where_marks_cannot_be_read_a_remark_says_so():
    def notices(style: int) -> list[tuple[str, ...]]:
        content = old_book(number_cell(0, 0, style))
        return [grid.notices for grid in grids(content)]

    assert notices(0) == [()]
    assert notices(7) == [(books.UNSEEN,)], "a style that the file does not have"
