"""Edits of the sample's raw files as a careless foreman or a sly contractor makes them.

Each was chosen from the raw files alone, without a look at the program, and each asserts the text
that it replaces. Every one takes something from a record, or adds something against it; none may
make a pile look better. Lines are physical lines, counted from 1.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

import openpyxl
from openpyxl.worksheet.worksheet import Worksheet

SCHEDULE_HEADER = (
    "Position,Revision,Issued,Status,Structure,Area,Bent,Type,Easting (m),Northing (m),"
    "Cut-off level (m),Ground level (m),Scour level (m),Batter from vertical (deg),Azimuth (deg),"
    "Compression (kN),Tension (kN),Load basis,Load nature,Governing direction,"
    "Required torque (kN·m),Torque rating (kN·m),Minimum embedment (m),Maximum length (m),"
    "Estimated length (m),Ground class\n"
)
BEFORE_STAGE = "P-111\tconcreted over\t01-Oct-2026\tpour record 4\n"


@dataclass(frozen=True)
class Edit:
    """One edit: the piles it is about, what it does, and the finding that it must lead to.

    ``finding`` is (kind, result); None where the record is only less than before. Edits of one
    ``group`` are made together, so no two of a group may concern one pile.
    """

    name: str
    piles: tuple[str, ...]
    make: Callable[[Path], None]
    finding: tuple[str, str] | None
    group: str = "files"


def _lines(file: str, numbers: Iterable[int], pile: str, old: str, new: str | None):
    """Replace ``old`` in these lines of a CSV file; without ``new`` the lines go."""

    def make(sample: Path) -> None:
        path = sample / "raw" / file
        rows: list[str | None] = list(path.read_bytes().decode("utf-8").split("\n"))
        for number in numbers:
            row = rows[number - 1]
            assert row is not None
            assert f",{pile}," in row
            assert row.count(old) == 1
            rows[number - 1] = None if new is None else row.replace(old, new)
        kept = [row for row in rows if row is not None]
        path.write_bytes("\n".join(kept).encode("utf-8"))

    return make


def _pressure_heading(file: str, unit: str, new: str):
    """The one heading with a pressure in ``unit`` becomes ``new``, whatever it was."""

    def make(sample: Path) -> None:
        path = sample / "raw" / file
        first, rest = path.read_bytes().decode("utf-8").split("\n", 1)
        cells = first.split(",")
        at = [n for n, text in enumerate(cells) if "pressure" in text.lower() and unit in text]
        assert len(at) == 1
        cells[at[0]] = new
        path.write_bytes(f"{','.join(cells)}\n{rest}".encode())

    return make


def _sheet(file: str, sheet: str, change: Callable[[Worksheet], None]):
    def make(sample: Path) -> None:
        path = sample / "raw" / file
        book = openpyxl.load_workbook(path)
        change(book[sheet])
        book.save(path)

    return make


def _cell(at: str, old: str, new: str) -> Callable[[Worksheet], None]:
    def change(sheet: Worksheet) -> None:
        assert sheet[at].value == old
        sheet[at] = new

    return change


def _middle_lift_gone(sheet: Worksheet) -> None:
    assert str(sheet["G19"].value) == "2"
    assert sheet["H19"].value == "7'-0\""
    sheet.delete_rows(19)
    sheet["G19"] = 2
    _cell("A20", "Total 15 lines", "Total 14 lines")(sheet)


def _revision(row: str):
    def make(sample: Path) -> None:
        path = sample / "raw" / "schedule_rev_D.csv"
        text = path.read_text(encoding="utf-8") if path.exists() else SCHEDULE_HEADER
        path.write_text(f"{text}{row}\n", encoding="utf-8", newline="\n")

    return make


def _stage(row: str):
    def make(sample: Path) -> None:
        path = sample / "raw" / "stages.csv"
        text = path.read_bytes().decode("utf-16")
        assert text.count(BEFORE_STAGE) == 1
        text = text.replace(BEFORE_STAGE, f"{row}\n{BEFORE_STAGE}")
        path.write_bytes(f"\ufeff{text}".encode("utf-16-le"))

    return make


def _covered_without_review(sample: Path) -> None:
    path = sample / "raw" / "survey_1001.csv"
    text = path.read_text(encoding="utf-8")
    row = "B54-1,after cut-off,2026-10-01,1233.252,543.926,5.247,0.06,-0.18,"
    assert text.count(row + "Erin Sample,2026-10-02") == 1
    text = text.replace(row + "Erin Sample,2026-10-02", row + ",")
    path.write_text(text, encoding="utf-8", newline="")
    _stage("B54-1\tconcreted over\t02-Oct-2026\tpour record 5")(sample)


def _survey_review_left_open(sample: Path) -> None:
    """The boardwalk's ``survey_reviewed`` is neither set nor declared not required."""
    path = sample / "project.toml"
    text, number = re.subn(
        r"\[criteria\.boardwalk\.survey_reviewed\]\n(?:(?!\[).*\n)*",
        "",
        path.read_text(encoding="utf-8"),
    )
    assert number == 1
    path.write_text(text, encoding="utf-8")
    _stage("B54-1\tconcreted over\t02-Oct-2026\tpour record 5")(sample)


_REVISION_D = "D,2026-10-02,for construction"
EDITS = (  # lines are counted before any is deleted: edits that keep them stand first
    Edit(
        "toe left blank", ("B01-1",),
        _lines("log_rig1_2026-09-14.csv", range(2, 23), "B01-1",
               ",6.30,1.22,0.88,", ",,1.22,0.88,"),
        ("run not closed", "no evidence"),
    ),
    Edit(
        "toe and stop reason left blank", ("W-10",),
        _lines("log_rig1_2026-09-30.csv", range(35, 68), "W-10",
               ",9.60,0.42,0.48,torque and depth reached,", ",,0.42,0.48,,"),
        ("run not closed", "no evidence"),
    ),
    Edit(
        "toe left blank in the pile's sheet", ("P-106",),
        _sheet("rig2_week_38.xlsx", "Pile P-106", _cell("E5", "Toe: 19'-0\"", "Toe:")),
        ("run not closed", "no evidence"),
    ),
    Edit(
        "stop reason end of shift under a survey", ("B06-2",),
        _lines("log_rig1_2026-09-16.csv", range(22, 43), "B06-2",
               ",torque and depth reached,", ",end of shift,"),
        ("reason for stopping", "not met"),
    ),
    Edit(
        "no pressure read at the toe", ("B07-2",),
        _lines("log_rig1_2026-09-16.csv", [88], "B07-2", ",6.90,120,GS-11,", ",6.90,,GS-11,"),
        ("required torque", "no evidence"),
    ),
    Edit(
        "last line of a log in feet deleted", ("B54-1",),
        _lines("log_rig2_2026-09-28.csv", [98], "B54-1", ",27,2090,,GS-21,", None),
        ("required torque", "no evidence"),
    ),
    Edit(
        "last, low line deleted", ("W-09",),
        _lines("log_rig1_2026-09-30.csv", [34], "W-09", ",9.90,75,GS-11,", None),
        ("required torque", "no evidence"),
    ),
    Edit(
        "last, low reading called reversed", ("W-14",),
        _lines("log_rig1_2026-10-01.csv", [61], "W-14",
               ",82,GS-11,advancing,", ",82,GS-11,reversed,"),
        ("required torque", "no evidence"),
    ),
    Edit(
        "load doubled under the printed torque", ("B20-1",),
        _revision(f"B20-1,{_REVISION_D},Boardwalk,BW,Bent 20,B1,1085.435,504.400,5.66,4.46,3.86,0,,"
                  "230,,service,sustained,compression,10.00,15.0,5.00,15.00,7.50,sand under silt"),
        ("required torque", "not met"),
        "later",
    ),
    Edit(
        "tension added to a compression pile", ("P-119",),
        _revision(f"P-119,{_REVISION_D},Pump house,PH,C3,P1,1124.800,644.800,4.77,4.47,,0,,"
                  "130,90,service,sustained,compression,7.88,14.0,5.50,15.00,7.50,sand under silt"),
        ("no torque factor for this case", "no evidence"),
        "later",
    ),
    Edit(
        "printed torque divided by 3.28", ("P-107",),
        _revision(f"P-107,{_REVISION_D},Pump house,PH,A7,P1,1134.400,640.000,4.77,4.47,,0,,"
                  "120,,service,sustained,compression,2.22,14.0,5.50,15.00,7.50,sand under silt"),
        ("torque at the last reading", "not met"),
        "later",
    ),
    Edit(
        "middle lift deleted and the next renumbered", ("P-119",),
        _sheet("grout_week_38.xlsx", "Grout 17 Sep", _middle_lift_gone),
        ("grout lifts to the toe", "no evidence"),
    ),
    Edit(
        "last lift ends two feet above the toe", ("P-118",),
        _sheet("grout_week_38.xlsx", "Grout 17 Sep", _cell("I17", "19'-0\"", "17'-0\"")),
        ("grout lifts to the toe", "no evidence"),
    ),
    Edit(
        "first lift begins below the first disc", ("P-108",),
        _sheet("grout_week_38.xlsx", "Grout 15 Sep", _cell("H12", "4'-1\"", "6'-0\"")),
        ("grout lifts to the toe", "no evidence"),
    ),
    Edit(
        "spin-out just above the final window", ("B03-1",),
        _lines("log_rig1_2026-09-14.csv", [111], "B03-1",
               ",74,11,,6.90,", ",74,11,spin-out,6.90,"),
        ("spin-out", "not met"),
    ),
    Edit(
        "coupling failure far above the toe", ("B13-1",),
        _lines("log_rig1_2026-09-18.csv", [111], "B13-1",
               ",coupling,6.90,", ",coupling failure,6.90,"),
        ("coupling failure", "not met"),
    ),
    Edit(
        "refusal at the toe", ("B05-2",),
        _lines("log_rig1_2026-09-15.csv", [120], "B05-2", ",73,10,,7.20,", ",73,10,refusal,7.20,"),
        ("refusal", "not met"),
    ),
    Edit(
        "heading says line pressure", ("B11-1", "B12-2", "B13-1"),
        _pressure_heading("log_rig1_2026-09-18.csv", "bar", "Line pressure (bar)"),
        None, "headings",
    ),
    Edit(
        "heading says gauge pressure", ("B54-1",),
        _pressure_heading("log_rig2_2026-09-28.csv", "psi", "Gauge pressure (psi)"),
        None, "headings",
    ),
    Edit(
        "curve of line pressure", ("B01-1", "B03-1", "B07-2", "B16-2", "B20-1"),
        _pressure_heading("certificate_FH-25-311.csv", "bar", "Line pressure (bar)"),
        None, "headings",
    ),
    Edit(
        "concrete over an unreviewed survey", ("B54-1",),
        _covered_without_review,
        ("survey reviewed", "not met"), "later",
    ),
    Edit(
        "concrete the day before the survey", ("P-117",),
        _stage("P-117\tconcreted over\t17-Sep-2026\tpour record 2"),
        ("survey reviewed", "not met"), "later",
    ),
    Edit(
        "review of surveys left open", ("B54-1",), _survey_review_left_open,
        ("criterion not set", "no evidence"), "settings",
    ),
)  # fmt: skip
IN_THE_GROUND = Edit(
    "run still open, nothing after it", ("W-19",),
    _lines("log_rig1_2026-10-02.csv", range(62, 87), "W-19",
           ",7.50,0.41,0.49,torque and depth reached,", ",,0.41,,,"),
    None,
)  # fmt: skip
