"""The trace of steel as a file: pieces of one search, and the trace matrix of the whole job."""

from __future__ import annotations

import io
from collections.abc import Sequence

import pandas as pd
import xlsxwriter

from core import words
from core.reports.books import about_sheet, csv_file

# Columns of the trace as they go out, with the heading of each.
CHAIN = {
    "pile_id": "pile",
    "run_no": "run",
    "place": "place",
    "component": "component",
    "piece": "piece",
    "stamp": "stamp",
    "component_kind": "kind",
    "length_mm": "length_mm",
    "lot": "lot",
    "mill": "mill",
    "heat": "heat",
    "certificate": "certificate",
    "certificate_type": "certificate_type",
    "gap_text": "gap",
}


def trace_csv(trace: pd.DataFrame) -> bytes:
    """Pieces of steel in the ground as CSV in store units, one line per piece."""
    frame = trace[list(CHAIN)].rename(columns=CHAIN)
    return csv_file(frame)


# The trace matrix: where each piece is, what it is made of, how far its trace goes.
MATRIX = {
    "pile_id": ("Pile", 10),
    "area": ("Area", 8),
    "state": ("State", 20),
    "stage": ("Stage", 14),
    "run_no": ("Run", 6),
    "latest": ("In the last string of the pile", 12),
    "place": ("Place", 7),
    "component": ("Component", 18),
    "stamp": ("Stamp", 14),
    "piece": ("Piece", 12),
    "length_mm": ("Length [mm]", 10),
    "delivery_id": ("Delivery", 14),
    "lot": ("Lot", 14),
    "mill": ("Mill", 18),
    "heat": ("Heat", 14),
    "certificate": ("Certificate", 16),
    "page": ("Page", 7),
    "certificate_type": ("Type", 7),
    "certificate_type_asked": ("Type required", 8),
    "document": ("File of the certificate", 24),
    "zinc_lot": ("Zinc lot", 12),
    "traceability": ("Traceability required", 22),
    "gap_text": ("Gap in traceability", 46),
    "quarantine_note": ("Quarantine", 46),
}
MATRIX_NUMBERS = ("place", "length_mm")
MATRIX_SHEET, ABOUT = "Trace matrix", "About this matrix"


def matrix_csv(trace: pd.DataFrame) -> bytes:
    """The trace matrix as CSV in store units: one line per piece of steel placed."""
    return csv_file(_matrix(trace))


def matrix_xlsx(trace: pd.DataFrame, about: Sequence[tuple[str, str]]) -> bytes:
    """The trace matrix as a workbook; ``about`` says of what it is."""
    content = io.BytesIO()
    frame = _matrix(trace)
    with xlsxwriter.Workbook(content, {"in_memory": True}) as book:
        sheet = book.add_worksheet(MATRIX_SHEET)
        bold = book.add_format({"bold": True, "text_wrap": True, "valign": "top"})
        for at, (name, (heading, width)) in enumerate(MATRIX.items()):
            sheet.set_column(at, at, width)
            sheet.write_string(0, at, heading, bold)
            for row, value in enumerate(frame[name], 1):
                if pd.isna(value):
                    continue
                if name in MATRIX_NUMBERS:
                    sheet.write_number(row, at, value)
                else:
                    sheet.write_string(row, at, str(value))
        sheet.freeze_panes(1, 1)
        sheet.autofilter(0, 0, max(1, len(frame)), len(MATRIX) - 1)
        about_sheet(book, ABOUT, about, words.STEEL_CAUTIONS)
    return content.getvalue()


def _matrix(trace: pd.DataFrame) -> pd.DataFrame:
    latest = trace["latest"].map({True: "yes", False: "no"})
    return trace.assign(latest=latest)[list(MATRIX)]
