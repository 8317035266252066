"""What the senders of the raw files write wrongly on purpose, and the problem that each must give.

A slip is a line beside the good ones, or a good line that nothing hangs on: what is left out
changes no finding.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import pairwise

MARK = "mark"  # key of a row under which its mark travels to the writer
Row = dict[str, object]
Rows = list[Row]


@dataclass(frozen=True)
class Mark:
    """How a row is written apart from its values, and which problem it must give (none: "")."""

    kind: str = ""
    why: str = ""
    changes: dict[str, str] = field(default_factory=dict)
    struck: bool = False
    hidden: bool = False
    tail: str = ""


@dataclass(frozen=True)
class Slip:
    """A line that the crew adds after reading ``after`` of a pile, half a station deeper.

    ``first`` is the depth of one more such line before it; ``struck`` repeats the reading itself.
    """

    pile: str
    after: int
    kind: str
    why: str
    changes: dict[str, str] = field(default_factory=dict)
    first: str = ""
    struck: bool = False
    tail: str = ""


_BAR, _PSI, _FT_LB = "Differential pressure (bar)", "Differential pressure (psi)", "Torque (ft-lb)"
SLIPS = (
    # Rig 1, plain CSV
    Slip("B03-2", 7, "not a number", "the letter l in place of a one", {_BAR: "4l"}),
    Slip("B04-2", 5, "impossible value", "a gauge that shows less than nothing", {_BAR: "-5"}),
    Slip("B06-2", 6, "missing value", "a depth without its pressure", {_BAR: ""}),
    Slip("B09-1", 8, "repeated key", "one depth written twice with two pressures",
         {_BAR: "44"}, first="2.55"),
    Slip("B09-2", 6, "depths out of order", "a depth that goes back up the pile", first="2.05"),
    Slip("B11-1", 9, "unknown word", "forwards is no word of the log", {"Turning": "forwards"}),
    Slip("B12-2", 4, "wrong number of cells", "a comma too many", tail=",stone"),
    Slip("W-04", 5, "another unit", "feet and inches in a column of metres",
         {"Depth (m)": "5'-6\""}),
    Slip("W-10", 6, "decimal mark", "a decimal comma that nobody has announced", {_BAR: "43,5"}),
    Slip("W-16", 5, "quotation marks", "text after a closing quotation mark",
         tail=',"stone" at 2 m'),
    # Rig 1, decimal comma
    Slip("B15-2", 6, "two number styles", "a point among decimal commas",
         {"Depth (m)": "1.95"}),
    Slip("B18-2", 5, "not a number", "n/a where the cell should be empty",
         {"Advance (mm/turn)": "n/a"}),
    # Rig 2, pile sheets and day sheets
    Slip("P-103", 6, "unclear length", "24.6: feet and inches or feet", {"Depth (ft)": "6.6"}),
    Slip("P-106", 7, "not a length", "fourteen inches", {"Depth (ft)": "7'-14\""}),
    Slip("P-109", 5, "struck-through row", "written, struck out and written again", struck=True),
    Slip("P-113", 8, "spreadsheet fault", "a formula that lost its cell", {_PSI: "#REF!"}),
    Slip("P-118", 5, "not a number", "the unit is written in the cell", {_PSI: "850 psi"}),
    Slip("P-121", 6, "spreadsheet fault", "a look-up without an answer", {_FT_LB: "#N/A"}),
    Slip("P-124", 7, "struck-through row", "written, struck out and written again", struck=True),
    Slip("P-129", 4, "missing value", "a depth without its torque", {_FT_LB: ""}),
    Slip("P-133", 5, "not a number", "a date that the spreadsheet made of 5-6",
         {"Depth (ft)": "2026-05-06"}),
    Slip("P-137", 6, "impossible value", "a torque below nothing", {_FT_LB: "-25"}),
    # Rig 2, plain CSV
    Slip("B54-1", 9, "unclear length", "9-6 in a column of feet", {"Depth (ft)": "9-6"}),
    Slip("B52-1", 7, "repeated key", "one depth written twice", first="7.5"),
)  # fmt: skip
HIDDEN = {("P-102", 4), ("P-130", 6)}  # good readings in hidden rows: read, with a remark


def with_slips(rows: Iterable[Row], pile: str, depth: str, half: float) -> Rows:
    """The rows of one sheet with the slips among those of the pile in column ``pile``."""
    written: Rows = []
    count: dict[object, int] = {}
    for row in rows:
        count[row[pile]] = count.get(row[pile], 0) + 1
        number = count[row[pile]]
        mine = [s for s in SLIPS if (s.pile, s.after) == (row[pile], number)]
        written += [_slip_row(row, s, depth, half) for s in mine if s.struck]
        is_hidden = (row[pile], number) in HIDDEN
        written.append({**row, MARK: Mark(hidden=True)} if is_hidden else row)
        for slip in mine:
            if slip.first:
                written.append({**row, depth: slip.first})
            if not slip.struck:
                written.append(_slip_row(row, slip, depth, half))
    return written


def _slip_row(row: Row, slip: Slip, depth: str, half: float) -> Row:
    changed = dict(row)
    if not slip.struck:
        decimals = 2 if depth.endswith("(m)") else 1
        changed[depth] = f"{float(str(row[depth])) + half:.{decimals}f}"
    mark = Mark(slip.kind, slip.why, slip.changes, struck=slip.struck, tail=slip.tail)
    return {**changed, MARK: mark}


@dataclass(frozen=True)
class FalseStart:
    """A run that was never driven, written on a day's sheet; another pile of the day lends it rows.

    The problem lies in row ``at`` (1 or 2); both rows are left out with the run.
    """

    day: str
    pile: str
    kind: str
    why: str
    both: dict[str, str]
    second: dict[str, str] = field(default_factory=dict)
    at: int = 1


FALSE_STARTS = (
    FalseStart("2026-10-02", "B27-1", "toe above reading", "the toe of the first reading",
               {"Final depth (m)": "0.30"}),
    FalseStart("2026-10-01", "B27-2", "two values in one run", "two crews for one run", {},
               {"Crew": "Crew 2"}, at=2),
    FalseStart("2026-09-30", "B28-1", "not a time", "a time as the French write it",
               {"Start": "2026-09-30 7h20"}),
    FalseStart("2026-10-02", "B45-1", "times out of order", "ends before it starts",
               {"Time start": "2026-10-02 15:10", "Time end": "2026-10-02 14:20"}),
    FalseStart("2026-09-18", "B45-2", "not a date", "the thirty-first of September",
               {"Day": "2026-09-31"}),
)  # fmt: skip


def false_starts(rows: Rows, day: str, pile: str) -> Rows:
    """The rows of the day's false starts, to be written under ``rows``."""
    written: Rows = []
    lent = next(two for two in pairwise(rows) if two[0][pile] == two[1][pile])
    for start in FALSE_STARTS:
        known = start.both.keys() | start.second.keys() | {pile}
        if start.day == day and known <= rows[0].keys():
            pair: Rows = [{**row, pile: start.pile, **start.both} for row in lent]
            pair[1] |= start.second
            pair[start.at - 1][MARK] = Mark(start.kind, start.why)
            written += pair
    return written
