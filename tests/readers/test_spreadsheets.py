"""What a spreadsheet did to cells is said: faults of formulas, numbers made into values."""

from __future__ import annotations

import numpy as np
import pytest

from core.readers.cell_texts import DAY, FAULT, NUMBER, TEXT
from core.records import KIND
from tests.readers.cells import faulted, read, table

EATEN = "number altered by the spreadsheet"


def piles(*names, forms=None):
    held = None if forms is None else {"pile_id": np.array(forms, dtype="uint8")}
    return read(table("torque_reading", forms=held, pile_id=names))


@pytest.mark.parametrize(
    "name",
    ["4E+12", "1.00E+05", "1.2E-05", "03-Apr", "4-Mar", "4-Mar-26", "Mar-04", "2026-03-04",
     "2026-03-04 00:00:00", "03/04/2026"],
)  # fmt: skip
def test_a_number_with_the_look_of_a_spreadsheets_value_is_a_problem(name):
    result = piles("101", name)
    assert faulted(result) == [(EATEN, 3)]
    assert "Ask for the file again, with this column formatted as text." in result.said


@pytest.mark.parametrize(
    "name",
    ["4E12", "1E5", "0012345", "101.10", "101-2", "3-4", "4E-12", "P-Mar-4", "12/14", "A-Dec"],
)
def test_a_number_that_is_text_survives(name):
    result = piles(name, name, forms=[TEXT, TEXT])
    assert faulted(result) == faulted(piles(name)) == []
    assert result.values["pile_id"].tolist() == [name, name]


def test_a_workbooks_number_is_safe_when_whole():
    result = piles("101", "0012", "101.1", "1E+15", "4000000000000000", forms=[NUMBER] * 5)
    assert faulted(result) == [(EATEN, 4), (EATEN, 5), (EATEN, 6)]
    assert "101.1: a spreadsheet made a plain number of it" in result.said
    result = piles("2026-03-04", "101.1", forms=[DAY, TEXT])
    assert faulted(result) == [(EATEN, 2)]
    assert "2026-03-04: a spreadsheet made a date of it" in result.said


def test_which_columns_hold_numbers_that_are_text():
    numbered = {
        f"{kind.name}.{column.name}"
        for kind in KIND.values()
        for column in kind.columns
        if column.is_number
    }
    assert {
        "schedule.position_id", "schedule.revision", "pile.replaces", "pile.instruction",
        "instrument.serial_no", "calibration.certificate", "run.run_no",
    } <= numbered  # fmt: skip
    assert not numbered & {"run.rig", "run.crew", "torque_reading.depth_mm", "schedule.area"}


@pytest.mark.parametrize("form", [TEXT, FAULT])
def test_the_fault_of_a_formula_is_one_problem_in_every_form_of_column(form):
    forms = {
        name: np.array([form], dtype="uint8")
        for name in ("pile_id", "depth_mm", "direction", "read_at")
    }
    cells = table(
        "torque_reading", forms=forms, pile_id=["#REF!"], depth_mm=["#DIV/0!"],
        direction=["#N/A"], read_at=["#VALUE!"],
    )  # fmt: skip
    result = read(cells)
    assert faulted(result) == [("spreadsheet fault", 2)] * 4
    assert "#REF!, the fault of a formula. Correct the formula and save" in result.said


def test_a_formula_without_a_value_says_what_to_do():
    forms = {"depth_mm": np.array([FAULT], dtype="uint8")}
    result = read(table("torque_reading", forms=forms, depth_mm=["#NO VALUE"]))
    assert faulted(result) == [("spreadsheet fault", 2)]
    assert "Open the file in a spreadsheet program, save it" in result.said
