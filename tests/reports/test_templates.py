"""A template that somebody fills in goes in without another word."""

from __future__ import annotations

import io
import zipfile

import pytest

from core.readers import parse_file
from core.records import KIND, KINDS, SCHEMA_VERSION, TEMPLATE_MARK
from core.reports.templates import ABOUT, ROWS, header, template
from tests.readers.files import PROJECT
from tests.readers.workbooks import converted
from tests.reports.filled import filled, opened, rows_of

OF_FILES = [kind for kind in KINDS if kind.from_files]
each_kind = pytest.mark.parametrize("kind", OF_FILES, ids=lambda kind: kind.name)


@each_kind
def test_a_template_filled_with_its_examples_is_taken_in_whole(kind):
    taken = parse_file(filled(kind, *rows_of(kind)), f"{kind.name}.xlsx", PROJECT)
    assert taken.problems[["problem", "column"]].values.tolist() == []
    assert list(taken.frames) == [kind.name]
    frame = taken.frames[kind.name]
    assert len(frame) == len(rows_of(kind))
    assert [name for name in kind.names if frame[name].isna().all()] == []
    assert frame["row_no"].tolist() == list(range(2, 2 + len(frame)))


@each_kind
def test_a_template_with_its_required_columns_alone_is_taken_in(kind):
    needed = {column.name for column in kind.columns if column.required}
    needed |= {"point_pressure_kpa", *kind.at_least_one[:1]}
    needed |= {  # stated wherever the value is
        one.stated.column for one in kind.columns if one.stated and one.name in needed
    }
    rows = [{name: text for name, text in row.items() if name in needed} for row in rows_of(kind)]
    taken = parse_file(filled(kind, *rows), f"{kind.name}.xlsx", PROJECT)
    assert taken.problems["problem"].tolist() == []
    assert {name: len(frame) for name, frame in taken.frames.items()} == {kind.name: len(rows)}


def test_examples_come_in_as_the_units_of_the_headers_say():
    kind = KIND["torque_reading"]
    frame = parse_file(filled(kind, kind.examples), "t.xlsx", PROJECT).frames[kind.name]
    row = frame.iloc[0]
    assert (row["depth_mm"], row["pressure_kpa"], row["torque_read_nm"]) == (300, 3150, 2100)
    kind = KIND["instrument"]
    frame = parse_file(filled(kind, kind.examples), "i.xlsx", PROJECT).frames
    assert frame["instrument"]["serial_no"].tolist() == ["0012345"]


@each_kind
def test_a_template_nobody_filled_in_is_a_problem_and_no_record(kind):
    taken = parse_file(template(kind), f"{kind.name}.xlsx", PROJECT)
    assert all(frame.empty for frame in taken.frames.values())
    assert taken.problems["kind"].tolist() == ["no rows"]


@each_kind
def test_the_first_sheet_is_ready_to_be_filled_in(kind):
    sheet = opened(kind).worksheets[0]
    assert sheet.title == kind.word.capitalize()
    assert sheet.freeze_panes == "A2"
    assert sheet.auto_filter.ref is None
    choices = {str(rule.sqref): rule for rule in sheet.data_validations.dataValidation}
    formats = {
        at: across.number_format
        for across in sheet.column_dimensions.values()
        for at in range(across.min, across.max + 1)
    }
    for at, column in enumerate(kind.columns, 1):
        head = sheet.cell(1, at)
        assert head.value == header(column)
        assert bool(head.font.b) == column.required
        assert head.comment.text.startswith(column.meaning)
        wanted = {"text": "@", "date": "yyyy-mm-dd"}.get(column.form, "General")
        assert formats[at] == wanted
        column_cells = f"{head.column_letter}2:{head.column_letter}{ROWS + 1}"
        assert (column_cells in choices) == bool(column.choices)


@each_kind
def test_a_choice_offers_the_words_of_its_column(kind):
    book = opened(kind)
    offered = {}
    for rule in book.worksheets[0].data_validations.dataValidation:
        sheet, _, cells = rule.formula1.lstrip("=").rpartition("!")
        assert sheet.strip("'") == ABOUT
        (words,) = book[ABOUT][cells.replace("$", "")] if ":" in cells else [[book[ABOUT][cells]]]
        at = next(iter(rule.sqref.ranges)).min_col - 1
        offered[kind.columns[at].name] = tuple(cell.value for cell in words)
    assert offered == {column.name: column.choices for column in kind.columns if column.choices}


@each_kind
def test_the_second_sheet_says_what_the_template_is(kind):
    content = template(kind)
    sheet = opened(kind)[ABOUT]
    assert sheet["A1"].value == TEMPLATE_MARK
    assert (sheet["A2"].value, sheet["B2"].value) == ("kind", kind.name)
    assert (sheet["A3"].value, sheet["B3"].value) == ("schema version", SCHEMA_VERSION)
    table = [[cell.value for cell in row[:5]] for row in sheet.iter_rows(min_row=5)]
    assert table[0] == ["column", "meaning", "unit", "required", "example"]
    assert [row[0] for row in table[1:]] == [header(column) for column in kind.columns]
    assert [row[4] for row in table[1:]] == list(kind.examples.values())
    properties = zipfile.ZipFile(io.BytesIO(content)).read("docProps/custom.xml").decode()
    assert 'name="schema version"' in properties
    assert f"<vt:i4>{SCHEMA_VERSION}</vt:i4>" in properties


def test_a_template_is_the_same_bytes_every_time():
    assert template(KIND["run"]) == template(KIND["run"])


@pytest.mark.parametrize("ending", ["ods", "xls"])
def test_a_filled_template_saved_in_another_kind_of_workbook_is_taken_in(ending, tmp_path):
    kind = KIND["schedule"]
    content = converted(filled(kind, kind.examples), ending, tmp_path)
    taken = parse_file(content, f"schedule.{ending}", PROJECT)
    assert taken.problems["problem"].tolist() == []
    assert taken.frames[kind.name]["required_torque_nm"].tolist() == [6500]
    assert taken.frames[kind.name]["position_id"].tolist() == ["101"]
