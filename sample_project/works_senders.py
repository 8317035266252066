"""Who sends grout, survey and steel in which dress, and the problems planted in their files."""

from __future__ import annotations

from collections import defaultdict
from datetime import date

from crew import RIGS
from dress import COMMA, PLAIN, Sent, Way, as_csv, comma_cell
from slips import MARK, Mark, Row, Rows
from works_books import deliveries, grout_sheets, string_sheets
from works_rows import Works
from yard_papers import declaration_rows, lot_rows, note_rows

_TITLE = ("Total station, exported list (invented)", "Surveyor: Odile Marsh", "")
SURVEY_COMMA = Way(";", COMMA.encoding, _TITLE, comma_cell)
SURVEY_TABS = Way("\t")


def works_files(works: Works) -> dict[str, Sent]:
    """Every raw file of the three subjects by its name."""
    return {
        **_grout(works),
        **_survey(works),
        "deliveries_supplier.xlsx": deliveries([
            (delivery, _with(rows, _DELIVERED.get(delivery.number, ())))
            for delivery, rows in works.deliveries()
        ]),
        "remnants.csv": as_csv(works.remnants()),
        "bolt_lots.csv": as_csv(lot_rows()),
        "delivery_notes.csv": as_csv(note_rows()),
        "declarations.csv": as_csv(declaration_rows()),
        "mill_certificates.csv": as_csv(_with(works.certificates(), _PAPERS)),
        "strings_rig1.csv": as_csv(_with([row for _, row in works.strings_of(RIGS[0])], _STRINGS)),
        "strings_rig2.xlsx": _strings_rig_2(works),
        "P-133_turned.csv": as_csv(works.turned_again()),
    }  # fmt: skip


def _grout(works: Works) -> dict[str, Sent]:
    weeks: dict[int, dict[date, Rows]] = defaultdict(dict)
    for day, rows in works.grout_sheets().items():
        weeks[day.isocalendar().week][day] = _with(rows, _GROUT.get(day.isoformat(), ()))
    return {
        **{f"grout_week_{week}.xlsx": grout_sheets(days) for week, days in weeks.items()},
        "cubes_2026-10-02.csv": as_csv(_with(works.cubes(), _CUBES)),
        "sample_groups.csv": as_csv(_with(works.groups(), _GROUPS)),
    }


def _survey(works: Works) -> dict[str, Sent]:
    first, second, third = works.visits()
    return {
        "survey_0918.txt": as_csv(_with(first.piles, _SURVEY), SURVEY_TABS),
        "survey_0925.csv": as_csv(second.piles, SURVEY_COMMA),
        "survey_1001.csv": as_csv(third.piles, PLAIN),
        "survey_1001_anchors.txt": as_csv(_with(third.anchors, _ANCHORS), SURVEY_TABS),
    }


def _strings_rig_2(works: Works) -> Sent:
    weeks: dict[str, Rows] = defaultdict(list)
    for day, row in works.strings_of(RIGS[1]):
        weeks[f"Week {day.isocalendar().week}"].append(row)
    first = next(iter(weeks))
    weeks[first] = _with(weeks[first], _STRINGS_FEET)
    return string_sheets(weeks)


# A line beside the good ones: after which line, what it changes, the problem it gives, and why.
Odd = tuple[int, dict[str, str], str, str]


def _with(rows: Rows, odd: tuple[Odd, ...]) -> Rows:
    """``rows`` with each odd line behind the line that lends it its other cells."""
    written: Rows = []
    for at, row in enumerate(rows, start=1):
        written.append(row)
        written += [_odd(row, *rest) for after, *rest in odd if after == at]
    return written


def _odd(row: Row, changes: dict[str, str], kind: str, why: str) -> Row:
    struck = kind == "struck-through row"
    return {**row, MARK: Mark(kind, why, changes, struck=struck)}


_GROUT: dict[str, tuple[Odd, ...]] = {
    "2026-09-14": (
        (3, {"Lift No.": "9", "Litres batched": "abt 30", "Batch Mixed": "", "Batch kg/m³": ""},
         "not a number", "about thirty litres"),
    ),
    "2026-09-16": (
        (5, {"Lift No.": "9"}, "struck-through row", "written, struck out and written again"),
        (8, {"Lift No.": "9", "Lift to": "14'-15\""}, "not a length", "fifteen inches"),
    ),
    "2026-09-21": (
        (4, {"Lift No.": ""}, "missing value", "a lift without its number"),
    ),
    "2026-09-22": (
        (6, {"Lift No.": "9", "Litres returned": "#REF!"}, "spreadsheet fault",
         "a formula that lost its cell"),
    ),
    "2026-09-24": (
        (2, {"Lift No.": "9", "Litres left": "90.0"}, "more wasted than batched",
         "ninety litres left where nine were"),
    ),
}  # fmt: skip
_CUBES: tuple[Odd, ...] = (
    (5, {"Cube": "CG-0914-6", "Strength (MPa)": "pending", "Date tested": "2026-10-01"},
     "not a number", "no result yet"),
    (9, {"Cube": "CG-0915-6", "Date cast": "2026-09-31"}, "not a date",
     "the thirty-first of September"),
    (12, {"Cube": "CG-0916-6", "Date tested": "2026-09-10"}, "dates out of order",
     "tested before it was cast"),
)  # fmt: skip
_GROUPS: tuple[Odd, ...] = (
    (3, {"Pile": ""}, "missing value", "a member without its number"),
)  # fmt: skip
_SURVEY: tuple[Odd, ...] = (
    (2, {"Mark": "BM-1", "Stage": "bench mark"}, "unknown word", "the surveyor's own bench mark"),
    (6, {"Mark": "B99-1", "E (m)": "1,018.112"}, "decimal mark", "a mark of thousands"),
)  # fmt: skip
_ANCHORS: tuple[Odd, ...] = (
    (3, {"Mark": "W-99", "Batter from vertical (deg)": "134.10"}, "impossible value",
     "read off the wrong face of the instrument"),
)  # fmt: skip
_DELIVERED: dict[str, tuple[Odd, ...]] = {
    "DN-2292": (
        (
            2,
            {"Stamp": "LP-99", "Kind": "lead", "Count": "a few"},
            "not a number",
            "a number that nobody counted",
        ),
    ),
}
_PAPERS: tuple[Odd, ...] = (
    (3, {"Certificate no": "MC-1041B", "EN 10204": "3.1B"}, "unknown word",
     "a type of the standard's earlier edition"),
)  # fmt: skip
_STRINGS: tuple[Odd, ...] = (
    (12, {"Place in string": "0"}, "impossible value", "places are counted from 1"),
    (20, {"Place in string": "19", "Bolts": "ok"}, "unknown word", "ok is no word of the list"),
)  # fmt: skip
_STRINGS_FEET: tuple[Odd, ...] = (
    (7, {"Place": "19", "Length (ft-in)": "7 f"}, "not a length", "a word that broke off"),
)  # fmt: skip
