"""Mess in files, cases 45 to 50: twice and half, encodings, old books, faults, papers, our own."""

import io

import pytest
from openpyxl import load_workbook

from core import services
from core.records import KIND, SCHEMA_VERSION
from core.reports.templates import template
from tests.readers.mess.books import READINGS, good, notices, problems, sheet, taken, words
from tests.readers.mess.jobs import profile, taken_in
from tests.readers.workbooks import STRUCK, converted, saved
from tests.services.small import log, small_project


def test_case_45_the_same_bytes_again_are_no_act_and_a_correction_has_its_differences(tmp_path):
    folder = small_project(tmp_path, log())
    before = len(services.history(folder))
    again = taken_in(folder, ("log_1.csv", log()))
    assert (again.entries, len(services.history(folder))) == ([], before)
    corrected = taken_in(folder, ("log_1.csv", log().replace("2.7,6.4", "2.7,6.3")))
    (change,) = services.entry_changes(folder, corrected.entries[-1]).to_dict("records")
    assert (change["before"], change["after"], change["row"]) == ("6400.0", "6300.0", 10)


def test_case_45_a_half_copied_book_is_a_problem_and_nothing_is_stored(tmp_path):
    folder = small_project(tmp_path, log())
    whole = sheet(READINGS, *[["101", 2, at / 10, 20 + at] for at in range(1, 200)])
    before = services.history(folder)["hash"].tolist()
    for length in (len(whole) // 2, len(whole) - 30):
        report = services.import_contents(folder, [("half.xlsx", whole[:length])], by="Bo Invented")
        assert report.refused
        assert report.problems["file"].tolist() == ["half.xlsx"]
        assert services.history(folder)["hash"].tolist() == before


def test_case_45_the_file_of_an_open_program_is_passed_over_with_a_remark(tmp_path):
    folder = small_project(tmp_path)
    report = services.import_contents(
        folder, [("~$log.xlsx", b"owner"), ("log.csv", log().encode())], by="Bo Invented"
    )
    assert not report.refused
    assert report.files["file"].tolist() == ["log.csv"]
    said = report.notices.set_index("file")["notice"]
    assert "office program" in said["~$log.xlsx"]


@pytest.mark.parametrize("mark", [",", ";", "\t"])
@pytest.mark.parametrize("codec", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_case_46_encodings_and_separators_are_found_and_said(codec, mark):
    name = 'Stütze "Nord" 1'
    header = ["Pile", "Run", "Depth (m)", "Torque (kN·m)"]
    lines = [mark.join(header), mark.join(['"Stütze ""Nord"" 1"', "1", "0.3", "5"])]
    result = taken_bytes("\n".join(lines).encode(codec))
    assert good(result)["pile_id"] == [name]
    words_of = {",": "comma", ";": "semicolon", "\t": "tab"}
    assert result.mapping["delimiter"] == words_of[mark]
    assert result.mapping["encoding"]


def taken_bytes(content):
    """What the readers make of the bytes of a CSV file."""
    return taken(content, file="file.csv")


@pytest.mark.parametrize("ending", ["xls", "ods"])
def test_case_47_old_and_open_books_are_read_like_new_ones(tmp_path, ending):
    whole = sheet(READINGS, ["0012345", "1", 0.3, 25], ["101.10", "1", 0.3, 31.5])
    old = converted(whole, ending, tmp_path)
    new, read = good(taken(whole)), good(taken(old, file=f"file.{ending}"))
    assert read["pile_id"] == new["pile_id"] == ["0012345", "101.10"]
    assert read["pressure_kpa"] == pytest.approx(new["pressure_kpa"])


@pytest.mark.parametrize(
    ("name", "content"),
    [("table.pdf", b"%PDF-1.4 a table"), ("sheet.jpg", b"\xff\xd8\xff\xe0 a photo")],
)
def test_case_47_a_table_in_a_pdf_or_a_photo_is_kept_and_never_guessed(tmp_path, name, content):
    folder = small_project(tmp_path, log())
    before = profile(services.assess(folder), "depth_mm", "torque_nm")
    report = services.import_contents(folder, [(name, content)], by="Bo Invented")
    assert services.history(folder)["act"].iloc[-1] == "attachment"
    assert "template" in report.notices["notice"].item()
    assert profile(services.assess(folder), "depth_mm", "torque_nm") == before
    assert sum(report.rows.values()) == 0


FAULTS = ["#REF!", "#N/A", "#DIV/0!", "#VALUE!"]


@pytest.mark.parametrize("fault", FAULTS)
def test_case_48_a_formulas_fault_is_a_problem_of_its_row(fault):
    result = taken(sheet(READINGS, ["101", "1", 0.3, 25], ["101", "1", 0.6, fault]))
    assert problems(result) == [("spreadsheet fault", 3)]
    assert fault in words(result)
    assert len(result.frames["torque_reading"]) == 1


def test_case_48_hidden_and_filtered_rows_are_read_and_said():
    def hide(worksheet):
        worksheet.row_dimensions[3].hidden = True
        worksheet.auto_filter.ref = "A1:D4"

    rows = [["101", "1", at / 10, 20 + at] for at in (3, 6, 9)]
    result = taken(sheet(READINGS, *rows, change=hide))
    assert good(result)["depth_mm"] == [300, 600, 900]
    assert "Hidden row 3 was read" in notices(result)


def test_case_48_a_struck_through_row_is_asked_and_not_read():
    def strike(worksheet):
        for cell in worksheet[3]:
            cell.font = STRUCK

    rows = [["101", "1", at / 10, 20 + at] for at in (3, 6, 9)]
    result = taken(sheet(READINGS, *rows, change=strike))
    assert problems(result) == [("struck-through row", 3)]
    assert result.frames["torque_reading"]["depth_mm"].tolist() == [300, 900]
    assert result.rows_left_out == 1


def test_case_49_photos_of_one_name_are_kept_apart_by_their_digest(tmp_path):
    folder = small_project(tmp_path)
    photos = [b"\xff\xd8\xff first", b"\xff\xd8\xff second"]
    for photo in photos:
        services.import_contents(folder, [("IMG_0001.jpg", photo)], by="Bo Invented")
    kept = services.history(folder).query("act == 'attachment'")
    assert [services.attachment(folder, digest) for digest in kept["sha256"]] == photos
    again = services.import_contents(folder, [("IMG_0001.jpg", photos[0])], by="Bo Invented")
    assert (again.entries, again.notices["notice"].item()) == ([], "already stored")


def filled(kind, version=SCHEMA_VERSION):
    """A template of ``kind`` with its examples as one record, and the version it states."""
    made = load_workbook(io.BytesIO(template(KIND[kind])))
    records, about = made.worksheets
    records.append([KIND[kind].examples[name] for name in KIND[kind].names])
    about["B3"] = version
    return saved(made)


@pytest.mark.parametrize("kind", ["instrument", "run", "torque_reading", "stage_record"])
def test_case_50_our_own_template_needs_no_layout_and_a_newer_one_is_refused(kind):
    assert len(good(taken(filled(kind)), kind)["row_no"]) == 1
    newer = taken(filled(kind, SCHEMA_VERSION + 1))
    assert "template too new" in newer.problems["kind"].tolist()
    assert "Install the newer program" in words(newer)
