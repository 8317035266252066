"""Workbooks of grout and steel: the crew's grout sheets, the supplier's lists, rig 2's strings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime

from books import Book, put, put_day
from dress import Sent, mark_of
from rig_books import feet_and_inches
from slips import Row, Rows
from steel import SUPPLIER, Delivery
from xlsxwriter.worksheet import Worksheet

GROUT_GROUPS = (
    ("Batch", ("No.", "Mixed", "kg/m³", "Flow s", "W/C")),
    ("Lift", ("Pile", "No.", "from", "to")),
    ("Litres", ("batched", "left", "spilled", "returned")),
    ("Clock", ("start", "end")),
    ("Afterwards", ("drop mm", "topped up")),
)
GROUT_NAMES = tuple(f"{group} {name}" for group, names in GROUT_GROUPS for name in names)
DELIVERY_GROUPS = (
    ("Component", ("Stamp", "Kind", "Count", "Length (mm)", "Shaft", "Helices",
                   "Rated torque (kN·m)", "Rating document", "Zinc lot", "Zinc (µm)")),
    ("Steel", ("Piece", "Mill", "Heat", "Certificate", "Of this heat")),
)  # fmt: skip
NUMBERS_OF_DELIVERY = ("Count", "Length (mm)", "Rated torque (kN·m)", "Zinc (µm)", "Of this heat")
STRING_NAMES = ("Pile", "Run", "Place", "Stamp", "Delivery", "Length (ft-in)", "Bolts")


def _grouped_header(
    book: Book, sheet: Worksheet, top: int, groups: Sequence[tuple[str, tuple[str, ...]]]
) -> None:
    left = 0
    for group, names in groups:
        sheet.merge_range(top, left, top, left + len(names) - 1, group, book.head)
        for at, name in enumerate(names, left):
            sheet.write_string(top + 1, at, name, book.head)
        left += len(names)


def _labels(sheet: Worksheet, row: int, texts: Sequence[str]) -> None:
    for at, text in enumerate(texts):
        if text:
            sheet.write_string(row, at, text)


def grout_sheets(days: Mapping[date, Rows]) -> Sent:
    """One week of the grout crew: a sheet per day, batch and pile only where they change."""
    book = Book()
    clock = book.book.add_format({"num_format": "hh:mm"})
    struck = book.book.add_format({"num_format": "hh:mm", "font_strikeout": True})
    for day, rows in days.items():
        sheet = book.book.add_worksheet(f"Grout {day:%d %b}")
        sheet.merge_range(0, 0, 0, 6, "Grout sheet, pump house (invented)", book.title)
        texts = ("Date:", "", "Mix:", "M2 revision 1", "Plant:", "Mixer 1", "Cement:", "CL-0904")
        _labels(sheet, 1, texts)
        put_day(book, sheet, (1, 1), day.isoformat())
        _labels(sheet, 2, ("Tested by: Erin Sample", "", "Volumes by tank dip, to half a litre"))
        _grouped_header(book, sheet, 3, GROUT_GROUPS)
        above: Row = {}
        for at, row in enumerate(rows, 5):
            form, changes = book.mark(sheet, row, at), mark_of(row).changes
            for column, name in enumerate(GROUT_NAMES):
                text = changes.get(name, str(row[name]))
                repeated = name in ("Batch No.", "Lift Pile") and above.get(name) == text
                moment = name in ("Batch Mixed", "Clock start", "Clock end") and text
                if moment and name not in changes:
                    form_of = struck if form else clock
                    sheet.write_datetime(at, column, datetime.fromisoformat(text), form_of)
                elif not repeated:
                    put(sheet, (at, column), text, form)
            above = row
        sheet.write_string(5 + len(rows), 0, f"Total {len(rows)} lines")
    return book.sent()


def deliveries(listed: Sequence[tuple[Delivery, Rows]]) -> Sent:
    """The supplier's lists: a sheet per delivery note, a component only on its first line."""
    book = Book()
    names = [name for _, own in DELIVERY_GROUPS for name in own]
    for delivery, rows in listed:
        sheet = book.book.add_worksheet(delivery.number)
        sheet.merge_range(0, 0, 0, 6, "Delivery list (invented)", book.title)
        _labels(sheet, 1, ("Note:", delivery.number, "Delivered:", "", "Supplier:", SUPPLIER))
        put_day(book, sheet, (1, 3), delivery.day)
        _grouped_header(book, sheet, 3, DELIVERY_GROUPS)
        for at, row in enumerate(rows, 5):
            form, changes = book.mark(sheet, row, at), mark_of(row).changes
            for column, name in enumerate(names):
                text = changes.get(name, str(row[name]))
                if name in NUMBERS_OF_DELIVERY and text:
                    put(sheet, (at, column), text, form)
                elif text:
                    sheet.write_string(at, column, text, form)
        sheet.write_string(6 + len(rows), 0, "All goods as ordered; certificates follow by post.")
    return book.sent()


def string_sheets(weeks: Mapping[str, Rows]) -> Sent:
    """Rig 2's strings from the toe up, a sheet per week, in feet and inches."""
    book = Book()
    for week, rows in weeks.items():
        sheet = book.book.add_worksheet(week)
        sheet.merge_range(0, 0, 0, 4, "Strings of rig 2, from the toe up (invented)", book.title)
        for column, name in enumerate(STRING_NAMES):
            sheet.write_string(2, column, name, book.head)
        above = ""
        for at, row in enumerate(rows, 3):
            form, changes = book.mark(sheet, row, at), mark_of(row).changes
            for column, name in enumerate(STRING_NAMES):
                text = changes.get(name, str(row[name]))
                if name in ("Run", "Place"):
                    put(sheet, (at, column), text, form)
                elif text and (name != "Pile" or text != above):
                    sheet.write_string(at, column, text, form)
            above = str(row["Pile"])
        sheet.write_string(4 + len(rows), 0, "Bolts looked at with the inspector.")
    return book.sent()


def feet_of(mm: int) -> str:
    """A length as the foreman of rig 2 writes it."""
    return feet_and_inches(str(mm / 304.8))
