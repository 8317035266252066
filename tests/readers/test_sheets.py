"""Sheets of a workbook: titles, nameless columns, hidden and struck rows, and sheets together."""

import io

import pytest
from openpyxl import load_workbook

from core.records import KIND, SCHEMA_VERSION
from core.reports.templates import template
from tests.readers.mess.books import (
    READINGS,
    book,
    good,
    notices,
    problems,
    rows_taken,
    sheet,
    taken,
    words,
)
from tests.readers.workbooks import STRUCK, saved

ROW = ["7", "1", 0.3, 25]


def test_title_rows_above_known_headers_are_passed_over_with_a_remark():
    result = taken(sheet(["Log of the invented job"], ["Sheet 4"], [], READINGS, ROW))
    assert good(result)["row_no"] == [5]
    assert "Above the header, rows 1–2 were passed over" in notices(result)
    assert taken(sheet(READINGS, ROW)).notices.empty


def test_a_column_with_values_and_no_header_is_said():
    result = taken(sheet([*READINGS, None, "Note"], [*ROW, 99, "soft"]))
    assert len(good(result)["row_no"]) == 1
    assert "Column E has values and no header" in notices(result)


@pytest.mark.parametrize("known", [True, False])
def test_a_hidden_sheet_is_read_when_it_is_understood_and_said_when_it_is_not(known):
    def hide(worksheet):
        worksheet.sheet_state = "hidden"

    hidden = [READINGS, ["8", "1", 0.3, 25]] if known else [["a", "b"], [1, 2]]
    result = taken(book({"Log": [READINGS, ROW], "Old": hidden}, Old=hide))
    assert good(result)["pile_id"] == (["7", "8"] if known else ["7"])
    assert known or "hidden and its headers are not known" in notices(result)


def test_a_struck_through_row_is_a_problem_and_hidden_ones_are_a_remark():
    def change(worksheet):
        worksheet["A3"].font = worksheet["B3"].font = STRUCK
        worksheet["C3"].font = worksheet["D3"].font = STRUCK
        worksheet.row_dimensions[4].hidden = True

    rows = [["7", "1", depth, 25] for depth in (0.3, 0.6, 0.9)]
    result = taken(sheet(READINGS, *rows, change=change))
    assert problems(result) == [("struck-through row", 3)]
    assert result.frames["torque_reading"]["depth_mm"].tolist() == [300, 900]
    assert "Hidden row 4" in notices(result)


def test_a_key_on_two_sheets_with_two_values_is_taken_from_neither():
    other = ["7", "1", 0.3, 26]
    result = taken(book({"One": [READINGS, ROW, ["7", "1", 0.6, 30]], "Two": [READINGS, other]}))
    assert problems(result) == [("repeated key", 2), ("repeated key", 2)]
    assert sorted(result.problems["sheet"]) == ["One", "Two"]
    assert "Sheet Two, row 2" in words(result)
    assert result.frames["torque_reading"]["depth_mm"].tolist() == [600]
    assert (result.rows_read, result.rows_left_out) == (3, 2)


def test_the_same_row_on_two_sheets_stands_once():
    result = taken(book({"One": [READINGS, ROW], "Two": [READINGS, ROW]}))
    assert len(good(result)["row_no"]) == 1


def test_a_bad_sheet_leaves_the_good_ones_standing():
    result = taken(book({"One": [READINGS, ROW], "Two": [["Pile", "Depth"], ["8", 0.3]]}))
    assert result.problems["sheet"].unique().tolist() == ["Two"]
    assert rows_taken(result) == 1


def test_a_templates_description_is_no_table_and_a_newer_one_is_refused():
    made = load_workbook(io.BytesIO(template(KIND["torque_reading"])))
    records, about = made.worksheets
    kind = KIND["torque_reading"]
    records.append([kind.examples[name] for name in kind.names])
    assert good(taken(saved(made)))["sheet"] == [records.title]
    about["B3"] = SCHEMA_VERSION + 1
    assert "template too new" in taken(saved(made)).problems["kind"].tolist()
