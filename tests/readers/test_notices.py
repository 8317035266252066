"""Hidden sheets, hidden columns and cell notes of a workbook: notices that stop nothing."""

import io
import zipfile

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.comments import Comment

from core.readers.book_limits import LIMITS
from core.readers.layouts import header_notes
from core.records import KIND
from core.reports.templates import template
from tests.readers import hostile_books as hostile
from tests.readers.mess.books import (
    READINGS,
    Origin,
    book,
    by,
    good,
    notices,
    readings_layout,
    sheet,
    taken,
)
from tests.readers.workbooks import converted, grids, messages, saved

ROW = ["7", "1", 0.3, 25]
PERSONS = "http://schemas.microsoft.com/office/2017/10/relationships/threadedComment"
NOTE = "<office:annotation><dc:creator>Bo Invented</dc:creator><dc:date>2026-03-25</dc:date>{}"
NOTE += "</office:annotation>"


def placed_notices(result) -> list[tuple[str, object, str]]:
    """Sheet, row and text of every notice; the row is None when the whole sheet is meant."""
    rows = result.notices["row"].astype(object)
    rows = rows.where(rows.notna(), None)
    return list(zip(result.notices["sheet"], rows, result.notices["notice"], strict=True))


def noted(*rows, **notes):
    """A workbook of rows with notes on cells by address."""

    def write(worksheet):
        for place, text in notes.items():
            worksheet[place].comment = Comment(text, "Bo Invented")

    return sheet(*rows, change=write)


@pytest.mark.parametrize(("state", "words"), [("hidden", "hidden"), ("veryHidden", "very hidden")])
def test_a_hidden_sheet_that_is_read_gives_a_notice(state, words):
    def hide(worksheet):
        worksheet.sheet_state = state

    content = book({"Log": [READINGS, ROW], "Old": [READINGS, ["8", *ROW[1:]]]}, Old=hide)
    result = taken(content)
    assert good(result)["pile_id"] == ["7", "8"]
    assert placed_notices(result) == [
        ("Old", None, f"The sheet is {words} and is treated like visible ones.")
    ]


@pytest.mark.parametrize(("state", "words"), [("hidden", "hidden"), ("veryHidden", "very hidden")])
def test_a_hidden_sheet_that_is_not_read_gives_a_notice(state, words):
    def hide(worksheet):
        worksheet.sheet_state = state

    content = book({"Log": [READINGS, ROW], "Old": [["a", "b"], [1, 2]]}, Old=hide)
    text = f"The sheet is {words} and its headers are not known; it was not read."
    assert placed_notices(taken(content)) == [("Old", None, text)]


def test_a_hidden_sheet_that_a_layout_leaves_out_is_called_hidden():
    def hide(worksheet):
        worksheet.sheet_state = "hidden"

    columns = {
        "pile_id": Origin(header="Pile"),
        "run_no": Origin(header="Run"),
        "depth_mm": Origin(header="Depth (m)", unit="m"),
        "pressure_kpa": Origin(header="Differential pressure (bar)", unit="bar"),
    }
    how = by(readings_layout(columns, left_out_sheets=("Old",)))
    sheets = {"Log": [READINGS, ROW], "Old": [["a", "b"], [1, 2]]}
    hidden = taken(book(sheets, Old=hide), how)
    assert "Hidden sheet Old is left out, as its layout says." in notices(hidden)
    assert "\nSheet Old is left out" in f"\n{notices(taken(book(sheets), how))}"


def hide_columns(*letters):
    def change(worksheet):
        for letter in letters:
            worksheet.column_dimensions[letter].hidden = True

    return change


def test_a_hidden_column_with_values_is_read_and_named():
    result = taken(sheet(READINGS, ROW, change=hide_columns("C")))
    assert good(result)["depth_mm"] == [300]
    text = "Hidden column C (Depth (m)) holds values and is treated like visible ones."
    assert placed_notices(result) == [("Log", None, text)]


def test_hidden_columns_are_named_together_and_empty_ones_are_not():
    rows = [[*READINGS, "Note", "Empty"], [*ROW, "soft", None]]
    result = taken(sheet(*rows, change=hide_columns("C", "E", "F", "Z")))
    text = (
        "2 hidden columns hold values and are treated like visible ones: C (Depth (m)), E (Note)."
    )
    assert [one for _, _, one in placed_notices(result)] == [text]


def test_a_group_of_columns_hidden_to_the_sheets_end_gives_one_notice():
    def change(worksheet):
        dimension = worksheet.column_dimensions["D"]
        dimension.min, dimension.max, dimension.hidden = 4, 16_384, True

    result = taken(sheet(READINGS, ROW, change=change))
    assert len(placed_notices(result)) == 1
    assert "Hidden column D (Differential pressure (ba" in notices(result)


def test_a_cells_note_is_named_with_its_sheet_cell_and_text():
    result = taken(noted(READINGS, ROW, D2="QA:\ngauge   stuck", F9="on a blank cell"))
    assert good(result)["depth_mm"] == [300]
    assert placed_notices(result) == [
        ("Log", 2, "Note on cell D2: “QA: gauge stuck”."),
        ("Log", 9, "Note on cell F9: “on a blank cell”."),
    ]


def test_a_file_without_hidden_parts_and_notes_has_no_notice():
    assert placed_notices(taken(sheet(READINGS, ROW))) == []


@pytest.mark.parametrize(("length", "cut"), [(100, False), (101, True)])
def test_a_long_note_is_shortened(length, cut):
    (notice,) = placed_notices(taken(noted(READINGS, ROW, A2="x" * length)))
    quoted = "x" * 99 + "…" if cut else "x" * 100
    assert notice[2] == f"Note on cell A2: “{quoted}”."


@pytest.mark.parametrize(("count", "more"), [(20, ""), (21, "1 more cell has a note"), (
    LIMITS.notes + 5, f"{LIMITS.notes - 15} more cells have notes")])  # fmt: skip
def test_twenty_notes_of_a_file_are_named_and_the_others_counted(count, more):
    content = noted(READINGS, ROW, **{f"H{row}": f"n {row}" for row in range(1, count + 1)})
    told = [text for _, _, text in placed_notices(taken(content))]
    assert told[19] == "Note on cell H20: “n 20”."
    assert told[20:] == ([f"{more}, not listed here, on sheet Log ({count - 20})."] if more else [])


def test_notes_are_counted_over_all_sheets_of_the_file():
    made = Workbook()
    made.remove(made.active)
    for number in range(1, 24):
        worksheet = made.create_sheet(f"P{number}")
        worksheet.append(READINGS)
        worksheet.append([str(number), *ROW[1:]])
        worksheet["A2"].comment = Comment("seen", "Bo Invented")
    told = placed_notices(taken(saved(made)))
    assert [one[0] for one in told if one[0]] == [f"P{number}" for number in range(1, 21)]
    text = "3 more cells have notes, not listed here, on sheet P21 (1), P22 (1), P23 (1)."
    assert [one for one in told if not one[0]] == [("", None, text)]


def test_the_readers_process_hands_on_a_bounded_number_of_bounded_notes():
    content = noted(READINGS, ROW, **{f"H{row}": "y" * 5_000 for row in range(1, 1_101)})
    about = messages(content)[0]
    assert len(about["notes"]) == LIMITS.notes
    assert about["more_notes"] == 100
    assert {len(text) for _, _, text in about["notes"]} == {LIMITS.note}


def test_the_notes_of_an_own_template_are_no_notice():
    made = load_workbook(io.BytesIO(template(KIND["torque_reading"])))
    records = made.worksheets[0]
    assert records["A1"].comment.text in header_notes()
    records["B1"].comment = Comment("every run of this pile was doubtful", "Bo Invented")
    told = [text for text in notices(taken(saved(made))).splitlines() if "Note on" in text]
    assert told == ["Note on cell B1: “every run of this pile was doubtful”."]


def threaded(content: bytes, thread: str) -> bytes:
    """The workbook with a thread beside the notes of its first sheet."""
    found = zipfile.ZipFile(io.BytesIO(content))
    parts = {name: found.read(name) for name in found.namelist()}
    relations = "xl/worksheets/_rels/sheet1.xml.rels"
    relation = f'<Relationship Id="t1" Type="{PERSONS}" Target="../threadedComments/t1.xml"/>'
    ending = b"</Relationships>"
    parts[relations] = parts[relations].replace(ending, relation.encode() + ending)
    space = "http://schemas.microsoft.com/office/spreadsheetml/2018/threadedcomments"
    part = f'<ThreadedComments xmlns="{space}">{thread}</ThreadedComments>'
    return hostile.archive(parts | {"xl/threadedComments/t1.xml": part})


def test_a_thread_is_read_with_its_replies_in_place_of_the_note_that_repeats_it():
    content = noted(READINGS, ROW, B2="[Threaded comment] not for this program", C2="plain")
    thread = '<threadedComment ref="B2" id="1"><text>run repeated?</text></threadedComment>'
    thread += '<threadedComment ref="B2" id="2" parentId="1"><text>yes</text></threadedComment>'
    assert placed_notices(taken(threaded(content, thread))) == [
        ("Log", 2, "Note on cell B2: “run repeated? / yes”."),
        ("Log", 2, "Note on cell C2: “plain”."),
    ]


def test_a_note_whose_cell_is_garbled_stops_nothing():
    thread = '<threadedComment ref="?"><text>where</text></threadedComment>'
    result = taken(threaded(noted(READINGS, ROW, B2="plain"), thread))
    assert placed_notices(result) == [("Log", 2, "Note on cell B2: “plain”.")]
    assert good(result)["depth_mm"] == [300]


def open_cell(text: str, note: str = "") -> str:
    """A cell of an OpenDocument sheet; blank without text."""
    if not text:
        return f"<table:table-cell>{note}</table:table-cell>"
    return (
        f'<table:table-cell office:value-type="string">{note}<text:p>{text}</text:p>'
        "</table:table-cell>"
    )


def open_log(columns: str = "", note: str = "", blank_note: str = "") -> bytes:
    """An OpenDocument log of one reading, with a note on cell C2 and one on the blank E3."""
    header = "".join(map(open_cell, READINGS))
    values = "".join(open_cell(text, note * (text == "0.3")) for text in ("7", "1", "0.3", "25"))
    last = open_cell("8") + "".join(map(open_cell, ("1", "0.3", "26"))) + open_cell("", blank_note)
    rows = "".join(f"<table:table-row>{row}</table:table-row>" for row in (header, values, last))
    return hostile.open_book(columns + rows)


def test_notes_and_hidden_columns_of_an_open_workbook_give_notices():
    columns = '<table:table-column table:number-columns-repeated="2"/>'
    columns += '<table:table-column table:visibility="collapse"/>'
    first = NOTE.format("<text:p>gauge</text:p><text:p>stuck</text:p>")
    result = taken(open_log(columns, first, NOTE.format("<text:p>#N/A</text:p>")), file="log.ods")
    assert good(result)["depth_mm"] == [300, 300]
    assert placed_notices(result) == [
        ("S", 2, "Note on cell C2: “gauge stuck”."),
        ("S", 3, "Note on cell E3: “#N/A”."),
        ("S", None, "Hidden column C (Depth (m)) holds values and is treated like visible ones."),
    ]


def test_a_note_alone_is_found_in_an_open_workbook():
    result = taken(open_log(note=NOTE.format("<text:p>seen</text:p>")), file="log.ods")
    assert placed_notices(result) == [("S", 2, "Note on cell C2: “seen”.")]


@pytest.mark.parametrize("ending", ["ods", "xls"])
def test_other_kinds_of_workbook_give_the_same_notices(ending, tmp_path):
    def change(worksheet):
        hide_columns("C")(worksheet)
        worksheet["D2"].comment = Comment("gauge stuck – ☂", "Bo Invented")
        worksheet["E9"].comment = Comment("latin " * 80, "Bo Invented")

    content = sheet(READINGS, ROW, change=change)
    (old,) = grids(converted(content, ending, tmp_path))
    (new,) = grids(content)
    assert old.hidden_columns == new.hidden_columns == {2}
    assert [note[:2] for note in old.notes] == [note[:2] for note in new.notes] == [(2, 3), (9, 4)]
    other = taken(converted(content, ending, tmp_path))
    assert placed_notices(other) == placed_notices(taken(content))
