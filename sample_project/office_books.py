"""The workbooks of the offices: the laboratory's certificates, the designer's revision C."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from books import Book, put, put_day
from dress import Sent, mark_of
from slips import Row, Rows
from xlsxwriter.worksheet import Worksheet


def certificates(listed: Sequence[tuple[str, Rows]]) -> Sent:
    """The laboratory's workbook: one sheet per certificate, its number in a cell."""
    book = Book()
    for number, rows in listed:
        _certificate(book, number, rows)
    return book.sent()


def _certificate(book: Book, number: str, rows: Rows) -> None:
    sheet = book.book.add_worksheet(f"Sheet {number[-3:]}")
    first = rows[0]
    sheet.merge_range(0, 0, 0, 3, "Certificate of calibration (invented)", book.title)
    for at, (label, name) in enumerate(
        (("No.", "Certificate no"), ("Instrument", "Instrument"), ("Laboratory", "Laboratory")), 2
    ):
        sheet.write_string(at, 0, label)
        sheet.write_string(at, 1, str(first[name]))
    for at, name in enumerate(("Calibrated on", "Valid from", "Valid to"), 5):
        sheet.write_string(at, 0, name)
        put_day(book, sheet, (at, 1), str(first[name]))
    shown = [name for name in first if name.startswith(("Differential pressure", "Torque"))]
    for column, text in enumerate(("Gear", "Point", *shown)):
        name, _, unit = text.partition(" (")
        sheet.write_string(9, column, name, book.head)
        sheet.write_string(10, column, f"({unit}" if unit else "", book.head)
    gear = ""
    for at, row in enumerate(rows, 11):
        own = str(row.get("Gear", ""))
        put(sheet, (at, 0), "" if own == gear else own)
        gear = own
        for column, name in enumerate(("Point", *shown), 1):
            put(sheet, (at, column), str(row[name]))
        book.mark(sheet, row, at)
    sheet.write_string(11 + len(rows) + 1, 0, "Points rise from low to high.")


SCHEDULE_GROUPS = (
    ("Where and what", ("Bent", "Position", "Structure", "Area", "Type", "Change")),
    ("Place", ("Easting (m)", "Northing (m)", "Cut-off level (m)", "Ground level (m)",
               "Scour level (m)", "Batter from vertical (deg)", "Azimuth (deg)")),
    ("Load", ("Compression (kN)", "Tension (kN)", "Load basis", "Load nature",
              "Governing direction")),
    ("Torque and depth", ("Required torque (kN·m)", "Torque rating (kN·m)",
                          "Minimum embedment (m)", "Maximum length (m)", "Estimated length (m)",
                          "Ground class")),
)  # fmt: skip
FILLED_DOWN = ("Bent", "Structure")


def schedule(rows: Rows, issued: date) -> Sent:
    """Revision C: title rows, headers in groups, bent and structure only where they change."""
    book = Book()
    sheet = book.book.add_worksheet("Schedule")
    sheet.merge_range(0, 0, 0, 8, "Pile schedule (invented)", book.title)
    sheet.write_string(1, 0, f"Revision: {rows[0]['Revision']}")
    sheet.write_string(1, 2, f"Status: {rows[0]['Status']}")
    sheet.write_string(1, 4, "Issued")
    put_day(book, sheet, (1, 5), issued.isoformat())
    names = []
    for group, own in SCHEDULE_GROUPS:
        sheet.merge_range(3, len(names), 3, len(names) + len(own) - 1, group, book.head)
        names += own
    for column, name in enumerate(names):
        sheet.write_string(4, column, name, book.head)
    above: Row = {}
    for at, row in enumerate(rows, 5):
        _position(book, sheet, at, row, names, above)
        above = row
    sheet.write_string(5 + len(rows), 1, f"Total {len(rows)} rows")
    sheet.write_string(7 + len(rows), 0, "Levels are site levels. Loads are service loads.")
    return book.sent()


def _position(
    book: Book, sheet: Worksheet, at: int, row: Row, names: list[str], above: Row
) -> None:
    form = book.mark(sheet, row, at)
    for column, name in enumerate(names):
        text = str(row[name])
        eaten = mark_of(row).changes.get(name, "")
        if "-" in eaten:
            put_day(book, sheet, (at, column), eaten)
        elif eaten:
            sheet.write_number(at, column, float(eaten), book.scientific)
        elif name not in FILLED_DOWN or text != above.get(name):
            put(sheet, (at, column), text, form)
