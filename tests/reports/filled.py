"""Templates as people fill them in: the examples of a kind typed under its headings."""

from __future__ import annotations

import io
from datetime import date

import openpyxl

from core.records import Kind
from core.reports.templates import template


def opened(kind: Kind) -> openpyxl.Workbook:
    """The template as a spreadsheet program opens it."""
    return openpyxl.load_workbook(io.BytesIO(template(kind)))


def filled(kind: Kind, *rows: dict[str, str]) -> bytes:
    """The template with ``rows`` typed in: dates as dates, numbers as numbers."""
    book = opened(kind)
    sheet = book.worksheets[0]
    for row, given in enumerate(rows, 2):
        for at, column in enumerate(kind.columns, 1):
            text = given.get(column.name)
            if text is not None and column.form == "date":
                sheet.cell(row, at).value = date.fromisoformat(text)
                sheet.cell(row, at).number_format = "yyyy-mm-dd"
            elif text is not None:
                is_text = column.form in ("text", "timestamp")
                sheet.cell(row, at).value = text if is_text else float(text)
    content = io.BytesIO()
    book.save(content)
    return content.getvalue()


def rows_of(kind: Kind) -> list[dict[str, str]]:
    """The examples as one row; a curve has two points, and a survey gives its axis in one way."""
    example = kind.examples
    if kind.name == "survey":
        tilts = {name: example[name] for name in ("tilt_east_deg", "tilt_north_deg")}
        others = {"batter_deg", "azimuth_deg", "survey_stage"}
        tilted = {name: text for name, text in example.items() if name not in others}
        upright = {name: text for name, text in example.items() if name not in tilts}
        return [upright, tilted | {"survey_stage": "re-survey"}]
    if kind.name != "calibration_point":
        return [example]
    return [example, example | {"point_no": "2", "point_pressure_kpa": "100",
                                "point_torque_nm": "10.5"}]  # fmt: skip
