"""The workbooks of rig 2: pile sheets with the number in the tab, and day sheets."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from itertools import groupby

from books import Book, put, put_day
from dress import Sent, mark_of
from slips import Row, Rows
from xlsxwriter.worksheet import Worksheet

_FIRST_READING = 7  # rows are counted from 0 here
_COLUMNS = ("Differential pressure (psi)", "Torque (ft-lb)", "Advance (in/rev)", "Rpm (rpm)",
            "Gauge set", "Gear", "Event at depth")  # fmt: skip
_LENGTHS = ("First disc", "Stick-up", "Cut off")


def feet_and_inches(feet: str) -> str:
    """Decimal feet as a crew writes them."""
    whole, inches = divmod(round(float(feet) * 12), 12)
    return f"{whole}'-{inches}\""


def pile_sheets(rows: Rows) -> Sent:
    """One week of rig 2: a summary, then one sheet per pile with its number in the tab."""
    book = Book()
    summary = book.book.add_worksheet("Summary")
    for at, text in enumerate(("Pile", "Toe", "Stopped")):
        summary.write_string(2, at, text, book.head)
    summary.write_string(0, 0, "Week's summary, by hand", book.title)
    for number, (pile, own) in enumerate(_by_pile(rows)):
        _pile_sheet(book, pile, own)
        for at, text in enumerate((pile, _toe(own[0]), str(own[0]["Reason stopped"]))):
            summary.write_string(3 + number, at, text)
    return book.sent()


def _by_pile(rows: Rows) -> Iterator[tuple[str, Rows]]:
    for pile, own in groupby(rows, key=lambda row: str(row["Pile no"])):
        yield pile, list(own)


def _toe(row: Row) -> str:
    return _of_feet(row, "Toe (ft)")


def _of_feet(row: Row, name: str) -> str:
    feet = str(row[name])
    return feet_and_inches(feet) if feet else ""


def _pile_sheet(book: Book, pile: str, rows: Rows) -> None:
    sheet = book.book.add_worksheet(f"Pile {pile}")
    first = rows[0]
    sheet.merge_range(0, 0, 0, 7, "Pile sheet, rig 2 (invented)", book.title)
    year, month, day = str(first["Day"]).split("-")
    labels = (
        ("Rig:", first["Machine"], "Crew:", first["Team"]),
        ("Driver:", first["Driver"], "Inspector:", first["Inspected by"]),
        ("Date:", f"{month}/{day}/{year}", "Revision:", first["Worked to revision"]),
    )
    for at, texts in enumerate(labels):
        for column, text in zip((0, 1, 3, 4), texts, strict=True):
            sheet.write_string(at + 1, column, str(text))
    clock = [str(first[name]).partition(" ")[2] for name in ("Time start", "Time end")]
    for column, text in (
        (0, f"Begun: {clock[0]}"),
        (2, f"Ended: {clock[1]}"),
        (4, f"Toe: {_toe(first)}"),
        (6, f"Stopped: {first['Reason stopped']}"),
        (7, f"Remarks: {first['Comments']}"),
        *((at, _said(first, name)) for at, name in enumerate(_LENGTHS, 8)),
    ):
        sheet.write_string(4, column, text.strip())
    _header(book, sheet, 5, "(ft-in)")
    for at, row in enumerate(rows, _FIRST_READING):
        _reading(book, sheet, at, row)
    under = _FIRST_READING + len(rows)
    sheet.write_string(under, 0, f"Total {len(rows)} readings")
    sheet.write_string(under + 2, 0, "Notes: depth along the shaft, from the ground")


def _said(row: Row, name: str) -> str:
    return f"{name}: {_of_feet(row, f'{name} (ft)')}"


def _header(book: Book, sheet: Worksheet, top: int, unit: str, left: int = 0) -> None:
    sheet.write_string(top, left, "Depth", book.head)
    sheet.write_string(top + 1, left, unit, book.head)
    sheet.merge_range(top, left + 1, top, left + 2, "Reading", book.head)
    sheet.merge_range(top, left + 3, top, left + 4, "Turning", book.head)
    for at, text in enumerate(("psi", "ft-lb", "in/rev", "rpm"), left + 1):
        sheet.write_string(top + 1, at, text, book.head)
    for at, text in enumerate(("Gauge set", "Gear", "Event"), left + 5):
        sheet.merge_range(top, at, top + 1, at, text, book.head)


def _reading(book: Book, sheet: Worksheet, at: int, row: Row, left: int = 0) -> None:
    """One reading; on a sheet whose readings begin in column ``left`` depths are decimal feet."""
    form = book.mark(sheet, row, at)
    changes = mark_of(row).changes
    depth = str(row["Depth (ft)"])
    written = changes.get("Depth (ft)", depth if left else feet_and_inches(depth))
    if len(written) == 10 and written.count("-") == 2:
        put_day(book, sheet, (at, left), written)
    else:
        put(sheet, (at, left), written, form)
    for column, name in enumerate(_COLUMNS, left + 1):
        put(sheet, (at, column), changes.get(name, str(row[name])), form)


_OF_RUN = ("Pile no", "Time start", "Time end", "Toe (ft)", "Reason stopped", "Comments",
           *(f"{name} (ft)" for name in _LENGTHS))  # fmt: skip
_SHOWN = ("Pile", "Begun", "Ended", "Toe (ft)", "Stopped", "Remarks", *_OF_RUN[6:])


def day_sheets(days: Mapping[date, Rows]) -> Sent:
    """One week of rig 2 by a relief driver: a sheet per day, a run's data on its first row."""
    book = Book()
    for day, rows in days.items():
        sheet = book.book.add_worksheet(f"{day:%a %d}")
        first = rows[0]
        sheet.merge_range(0, 0, 0, 5, "Day sheet, rig 2 (invented)", book.title)
        labels = ("Date:", f"{day:%m/%d/%Y}", "Crew:", first["Team"], "Driver:", first["Driver"],
                  "Inspector:", first["Inspected by"], "Revision:", first["Worked to revision"],
                  "Rig:", first["Machine"])  # fmt: skip
        for at, text in enumerate(labels):
            sheet.write_string(1, at, str(text))
        for at, text in enumerate(_SHOWN):
            sheet.merge_range(3, at, 4, at, text, book.head)
        _header(book, sheet, 3, "(ft)", left=len(_OF_RUN))
        above = ""
        for at, row in enumerate(rows, 5):
            pile = str(row["Pile no"])
            if pile != above:
                for column, name in enumerate(_OF_RUN):
                    put(sheet, (at, column), str(row[name]).removeprefix(f"{day} "))
            above = pile
            _reading(book, sheet, at, row, left=len(_OF_RUN))
        sheet.write_string(5 + len(rows), 0, f"Total {len(rows)} readings")
    return book.sent()
