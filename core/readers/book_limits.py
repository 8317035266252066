"""What reading one workbook or PDF may cost, and the exception that says why it is not read.

Standard library alone: the process that reads a file imports this and must start at once.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Limits:
    """Limits of one file. A sheet of a spreadsheet program has 1,048,576 rows and 16,384 columns.

    The largest honest workbook is the log of a whole job that fills one sheet: a million readings
    of 19 columns, measured at 670 MB unpacked, 1.6 GB of memory and 75 s of computing.
    """

    memory_bytes: int = 3_000_000_000  # address space of the process that reads
    cpu_seconds: int = 180  # of the processor: more than twice what the largest one takes
    seconds: int = 600  # of the clock, on a busy machine, and where the processor has no limit
    unpacked_bytes: int = 800_000_000  # all parts of the archive, or the file where it is none
    parts: int = 10_000  # of the archive; a sheet has up to four
    sheets: int = 1_000  # one per pile of a large job
    cells: int = 20_000_000  # of all sheets, each from A1 to its last row and column written
    columns: int = 500  # of a sheet, as for CSV; wider than any list of readings or piles
    all_columns: int = 20_000  # of all sheets: each costs time beyond its cells
    merged: int = 50_000  # areas of a sheet; every header cell is compared with each
    name: int = 255  # characters of a sheet's name; spreadsheet programs allow 31
    notes: int = 1_000  # of cells, handed on of all sheets; more are counted
    note: int = 300  # characters of a cell's note handed on
    text_bytes: int = 500_000_000  # all texts handed on


LIMITS = Limits()
# A certificate of A3 pages scanned in colour takes 0.3 GB and some seconds a page to draw.
PAGE_LIMITS = Limits(memory_bytes=1_500_000_000, cpu_seconds=60, seconds=240)


class Unreadable(Exception):
    """The file cannot be read: ``reason`` is password, damaged, entities or the name of a limit.

    ``found`` is what exceeds the limit, ``sheet`` where. Never leaves the room: ``books.read``
    turns it into a problem.
    """

    def __init__(self, reason: str, found: int = 0, sheet: str = "") -> None:
        super().__init__(reason, found, sheet)
        self.reason, self.found, self.sheet = reason, found, sheet
