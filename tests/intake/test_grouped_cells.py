"""A record that many rows of a spreadsheet share keeps how its cells were held."""

from __future__ import annotations

import io

import openpyxl

from core.intake import Conventions, How, take
from tests.intake.files import PROJECT


def test_a_number_of_a_spreadsheet_is_not_read_by_the_decimal_comma_of_its_texts():
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.append(["Pile", "Date", "Toe (m)", "Stop", "Depth (m)", "Pressure (bar)"])
    sheet.append(["101", "2026-03-04", 1.234, "instructed", "0,3", "25,5"])
    sheet.append(["101", "2026-03-04", 1.234, "instructed", "0,6", "26,5"])
    content = io.BytesIO()
    book.save(content)
    comma = How(conventions=Conventions(decimal="comma"))
    result = take(content.getvalue(), "log.xlsx", PROJECT, comma)
    assert result.problems.empty
    assert list(result.frames["run"]["toe_mm"]) == [1234]
    assert list(result.frames["torque_reading"]["depth_mm"]) == [300, 600]
