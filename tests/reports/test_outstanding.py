"""The list of outstanding items in words, as CSV in store units and as XLSX in shown units."""

import csv
import io

import numpy as np
import openpyxl
import pandas as pd
import pytest

from core.criteria.kinds import FindingKind
from core.reports.outstanding import items_csv, items_xlsx
from core.services import outstanding
from core.services.outstanding import items_in_words, items_object
from core.subjects.registry import FINDING

NAN = np.nan
ITEM = {
    "kind": "required torque",
    "subject": "007",
    "subject_kind": "pile",
    "area": "A",
    "blocks": "AC",
    "responsible": "DES",
    "closed_by": "a deeper run",
    "result": "not met",
    "measured": 7500.0,
    "limit_value": 8000.0,
    "sense": "at least",
    "unit_column": "final_torque_nm",
    "clause": "5.1",
    "due": pd.Timestamp("2026-03-10"),
    "age_days": 21,
    "note": "=1+1",
    "piles": ("007",),
}


def items(*changes):
    frame = pd.DataFrame([{**ITEM, **change} for change in changes])
    return frame.astype({"age_days": "Int64", "due": "datetime64[us]"})


def sheet(frame, system):
    about = [("Project", "invented")]
    content = items_xlsx(items_in_words(frame, system), frame, system, about)
    book = openpyxl.load_workbook(io.BytesIO(content))
    head, *rows = book["Outstanding items"].iter_rows(values_only=True)
    return book, [dict(zip(head, row, strict=True)) for row in rows]


def csv_text(frame):
    return items_csv(outstanding._published(frame)).decode()


TORQUE, SHARE = FINDING["mean_torque"], FINDING["torque_drop_at_end"]
GRADE, LOT = FINDING["steel_grade"], FINDING["lot_quantity_exceeded"]
PLAIN = FindingKind("of_tests", "of tests", "", "A", "DES", "")


@pytest.mark.parametrize(
    ("kind", "numbers", "words"),
    [
        (TORQUE, (7500, 8000, "at least", "final_torque_nm"), "7.50 kN·m, minimum 8.00 kN·m"),
        (TORQUE, (7500, 8000, "", "final_torque_nm"), "7.50 kN·m against 8.00 kN·m"),
        (TORQUE, (NAN, 8000, "at least", "final_torque_nm"), "not recorded, minimum 8.00 kN·m"),
        (TORQUE, (7500, NAN, "at least", "final_torque_nm"), "7.50 kN·m"),
        (TORQUE, (NAN, NAN, "at least", "final_torque_nm"), ""),
        # Two decimals would print a value that is not met as its own limit.
        (
            TORQUE,
            (11999, 12000, "at least", "final_torque_nm"),
            "11.999 kN·m, minimum 12.000 kN·m",
        ),
        (TORQUE, (8000, 8000, "at least", "final_torque_nm"), "8.00 kN·m, minimum 8.00 kN·m"),
        (PLAIN, (4, 0, "at least", ""), "4, minimum 0"),
        (PLAIN, (NAN, 0.2, "at least", ""), "not recorded, minimum 0.2"),
        (PLAIN, (0.31, 0.2, "at most", ""), "0.31, maximum 0.20"),
        (SHARE, (0.31, 0.2, "at most", ""), "31.0 %, maximum 20.0 %"),
        (SHARE, (0.2004, 0.2, "at most", ""), "20.04 %, maximum 20.00 %"),
        (GRADE, (4, 0, "at most", ""), "4 pieces below grade"),
        (GRADE, (1, 0, "at most", ""), "1 piece below grade"),
        (LOT, (1200, 1000, "at most", ""), "1,200 components used, maximum 1,000"),
    ],
)
def test_measured_and_limit_are_written_in_words(kind, numbers, words):
    assert outstanding.against(kind, *numbers, "SI") == words


def test_a_count_has_no_margin():
    assert outstanding.margin_text(GRADE, -4.0, "", "SI") == ""
    assert outstanding.margin_text(TORQUE, -500.0, "final_torque_nm", "SI") == "-0.50 kN·m"
    assert outstanding.margin_text(TORQUE, NAN, "final_torque_nm", "SI") == ""


def test_the_csv_is_in_store_units_and_names_them():
    text = csv_text(items({}, {"due": None, "age_days": None, "area": None}))
    first, second = csv.DictReader(io.StringIO(text))
    assert (first["measured"], first["limit"], first["unit"]) == ("7500.0", "8000.0", "N·m")
    assert (first["subject"], first["due_date"], first["age_days"]) == ("007", "2026-03-10", "21")
    assert (second["due_date"], second["age_days"], second["area"]) == ("", "", "")


def test_the_piles_of_a_shared_item_are_listed_in_both_files():
    shared = items({"subject": "type T1", "subject_kind": "case", "piles": ("007", "008")})
    (row,) = csv.DictReader(io.StringIO(csv_text(shared)))
    assert row["piles"] == "007, 008"
    _, (row,) = sheet(shared, "SI")
    assert (row["About"], row["Piles"]) == ("piles of type T1", "007, 008")


def test_the_workbook_has_units_of_the_system_in_its_headings():
    gap = {"measured": 610.0, "limit_value": 310.0, "unit_column": "window_gap_mm"}
    _, (torque, length) = sheet(items({}, gap), "SI")
    assert (torque["Measured [kN·m]"], torque["Limit [kN·m]"]) == (7.5, 8.0)
    assert torque["Measured [m]"] is None
    assert (length["Measured [m]"], length["Limit [m]"]) == (0.61, 0.31)
    _, (torque, _) = sheet(items({}, gap), "US")
    assert torque["Measured [ft·lbf]"] == pytest.approx(7500 / 1.355818, rel=1e-6)
    # NIST SP 811 (2008), App. B.8, foot pound-force 1.355 818 E+00, quoted from memory.


def test_columns_of_one_unit_are_one_pair():
    _, rows = sheet(items({}, {"unit_column": "max_torque_nm", "measured": 9000.0}), "SI")
    assert [row["Measured [kN·m]"] for row in rows] == [7.5, 9.0]


def test_texts_in_the_workbook_stay_texts_and_it_says_what_it_is():
    book, (row,) = sheet(items({}), "SI")
    assert (row["About"], row["Note"]) == ("pile 007", "=1+1")
    assert book["Outstanding items"]["L2"].data_type == "s"  # the note
    assert row["Blocks"] == "acceptance of the pile, concrete over the head"
    about = dict(book["About this list"].iter_rows(values_only=True))
    assert about["Project"] == "invented"
    assert "nothing here is an approval" in about["Caution"]


def test_an_empty_list_is_a_file_with_headings():
    none = items({}).iloc[:0]
    assert csv_text(none).startswith("kind,subject,")
    assert sheet(none, "SI")[1] == []


def test_an_item_out_of_the_program_has_every_column_and_no_code_of_what_it_blocks():
    (item,) = items_object(items({}))
    assert item["blocks"] == ["acceptance of the pile", "concrete over the head"]
    assert (item["limit"], item["due_date"], item["unit"]) == (8000.0, "2026-03-10", "N·m")
    assert item["piles"] == ["007"]
