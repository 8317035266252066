"""The list of outstanding items in words, as CSV in store units and as XLSX in shown units."""

import csv
import io

import numpy as np
import openpyxl
import pandas as pd
import pytest

from core.reports.outstanding import against, items_csv, items_xlsx

NAN = np.nan
ITEM = {
    "kind": "required torque",
    "subject": "007",
    "subject_kind": "pile",
    "area": "A",
    "blocks": "AC",
    "owner": "DES",
    "clears": "a deeper run",
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
    book = openpyxl.load_workbook(io.BytesIO(items_xlsx(frame, system, [("Project", "invented")])))
    head, *rows = book["Outstanding items"].iter_rows(values_only=True)
    return book, [dict(zip(head, row, strict=True)) for row in rows]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({}, "7.50 kN·m, at least 8.00 kN·m"),
        ({"sense": ""}, "7.50 kN·m against 8.00 kN·m"),
        ({"measured": NAN}, "not recorded, at least 8.00 kN·m"),
        ({"limit_value": NAN}, "7.50 kN·m"),
        ({"measured": NAN, "limit_value": NAN}, ""),
        ({"measured": 4.0, "limit_value": 0.0, "unit_column": ""}, "4, at least 0"),
        ({"measured": NAN, "limit_value": 0.2, "unit_column": ""}, "not recorded, at least 0.2"),
        (
            {"measured": 0.31, "limit_value": 0.2, "sense": "at most", "unit_column": ""},
            "0.31, at most 0.20",
        ),
    ],
)
def test_measured_and_limit_are_said_in_words(change, words):
    assert against(items(change), "SI").tolist() == [words]


def test_the_csv_is_in_store_units_and_names_them():
    text = items_csv(items({}, {"due": None, "age_days": None, "area": None})).decode()
    first, second = csv.DictReader(io.StringIO(text))
    assert (first["measured"], first["limit_value"], first["unit"]) == ("7500.0", "8000.0", "N·m")
    assert (first["subject"], first["due"], first["age_days"]) == ("007", "2026-03-10", "21")
    assert (second["due"], second["age_days"], second["area"]) == ("", "", "")


def test_the_piles_of_a_shared_item_are_listed_in_both_files():
    shared = items({"subject": "type T1", "subject_kind": "case", "piles": ("007", "008")})
    (row,) = csv.DictReader(io.StringIO(items_csv(shared).decode()))
    assert row["piles"] == "007, 008"
    _, (row,) = sheet(shared, "SI")
    assert (row["Subject"], row["Piles"]) == ("type T1", "007, 008")


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
    assert (row["Subject"], row["Note"]) == ("007", "=1+1")
    assert book["Outstanding items"]["G2"].data_type == "s"
    assert row["Blocks"] == "acceptance of the pile, concrete over the head"
    about = dict(book["About this list"].iter_rows(values_only=True))
    assert about["Project"] == "invented"
    assert "nothing here is an approval" in about["Caution"]


def test_an_empty_list_is_a_file_with_headings():
    none = items({}).iloc[:0]
    assert items_csv(none).decode().startswith("kind,subject,")
    assert sheet(none, "SI")[1] == []
