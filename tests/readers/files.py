"""Small invented files of every kind, in SI and in US customary units, and the project they fit."""

from __future__ import annotations

from core.readers import ParsedFile, ReadOptions, parse_file
from core.settings import Project, parse_project
from tests.readers.files_of_works import TYPICAL_OF_WORKS

PROJECT: Project = parse_project("""
[project]
name = "Invented job"
time_zone = "America/Chicago"
system = "SI"
[areas.North]
name = "North bank"
[areas.South]
name = "South bank"
[sections.r89]
name = "round shaft"
shape = "tube"
outside_diameter_mm = 88.9
[helix_sets.h]
helix_mm = [300]
pitch_mm = 75
[types.P1]
name = "pile"
element = "helical pile"
section = "r89"
helix_set = "h"
grouted = false
last_stage = "installed"
criteria = "first"
[component_kinds.lead]
name = "lead section"
stamp_is = "piece"
traceability = "piece"
clause = "6.1"
[component_kinds.extension]
name = "extension"
stamp_is = "lot"
traceability = "heat or lot per pile"
clause = "6.1"
[criteria.first]
""")

TYPICAL: dict[str, dict[str, str]] = {  # system, then kind: one good file of that kind alone
    "SI": {
        "schedule": "Position,Rev,Issued,Status,Zone,Type,Easting (m),Northing (m),"
        "Cut-off level (m),Compression (kN),Required torque (kN·m),Min embedment (m)\n"
        "101,A,2026-01-05,For Construction,North,P1,100.25,200.5,3.1,120,6.5,4.5\n",
        "pile": "Pile,Position served,Replaces,Instruction no\n101A,101,101,SI-7\n",
        "instrument": "Instrument,Kind,Serial,Rig\nG1,pressure gauge set,778,Rig 1\n",
        "calibration": "Instrument,Certificate no,Calibrated on,Valid from,Valid to,Lab\n"
        "G1,C-1,2026-01-02,2026-01-02,2027-01-01,Invented laboratory\n",
        "calibration_point": "Instrument,Certificate,Point,Differential pressure (bar),"
        "Torque (kN.m)\n"
        "G1,C-1,1,20,2.0\nG1,C-1,2,100,10.5\n",
        "run": "Pile,Run,Date,Start,Rig,Crew,Toe (m),Reason for stopping\n"
        "101,1,2026-03-04,07:30,Rig 1,Crew A,6.3,torque and depth reached\n",
        "torque_reading": "Pile,Run,Depth [m],Differential pressure [bar],Advance (mm/turn)\n"
        "101,1,0.3,25,74\n101,1,0.6,31.5,75\n",
        "stage_record": "Pile,Stage,Date,Reference\n101,set out,2026-03-01,stake sheet 4\n",
        **TYPICAL_OF_WORKS["SI"],
    },
    "US": {
        "schedule": "Pile No.;Revision;Issue date;Status;Area;Type mark;E (ft);N (ft);"
        "COL (ft);Tension (kips);Min torque (ft-lbs);Minimum embedment (ft)\n"
        "101;A;2026-01-05;ifc;south;p1;100;200;10;20;4800;15\n",
        "pile": "pile #\tserves\n101A\t101\n",
        "instrument": "Instrument No;Type;Manufacturer\nT1;Torque indicator;Invented maker\n",
        "calibration": "instrument_id,certificate,issued_on,valid_from_on,valid_to_on\n"
        "T1,C-2,2026-01-02,2026-01-02,2027-01-01\n",
        "calibration_point": "Instrument,Certificate,No.,Torque (ft-lb)\n"
        "T1,C-2,1,500\nT1,C-2,2,9000\n",
        "run": "pile;day;machine;final depth, ft;reason stopped\n"
        "101;2026-03-04;Rig 2;21;instructed\n",
        "torque_reading": "Pile number,Depth ft,Diff. pressure (psi),Torque (ft·lbf)\n"
        "101,1,350,\n101,2,,1800\n",
        "stage_record": "Mark,Stage,Stage date\n101,cut off,2026-03-09\n",
        **TYPICAL_OF_WORKS["US"],
    },
}

RIG_LOG = (
    "Date,Rig,Crew,Pile,Run,Instrument,Time,Depth (ft),Differential pressure (psi),"
    "Toe depth (ft),Stop\n"
    "2026-03-04,Rig 1,A,101,1,G1,07:30,1,300,3,instructed\n"
    ",,,101,1,G1,07:31,2,350,,\n"
    "2026-03-04,Rig 1,A,101,1,G1,07:32,3,400,3,Instructed\n"
    "2026-03-05,Rig 1,B,102,1,G1,07:30,1,310,2,instructed\n"
    "2026-03-05,Rig 1,B,102,1,G1,07:31,2,320,2,instructed\n"
)

CERTIFICATE = (
    "Instrument,Kind,Certificate,Issued,Valid from,Valid to,Gear,Point,"
    "Differential pressure (bar),Torque (kN·m)\n"
    "G1,pressure gauge set,C-1,2026-01-02,2026-01-02,2027-01-01,low,1,20,2\n"
    "G1,,C-1,,,,low,2,100,10\n"
    "G1,pressure gauge set,C-1,2026-01-02,2026-01-02,2027-01-01,high,1,20,1\n"
    "G1,,C-1,,,,high,2,100,5\n"
)


def taken(text: str | bytes, as_kind: str | None = None) -> ParsedFile:
    """What the readers make of a file called file.csv."""
    content = text if isinstance(text, bytes) else text.encode()
    return parse_file(content, "file.csv", PROJECT, ReadOptions(as_kind))


def readings(
    *rows: str, header: str = "Pile,Run,Depth (m),Differential pressure (bar)"
) -> ParsedFile:
    """What the readers make of a file of readings."""
    return taken("\n".join((header, *rows)) + "\n")


def kinds(result: ParsedFile) -> list[tuple[str, int | None]]:
    """Kind and row of every problem."""
    rows = result.problems["row"]
    return [
        (kind, None if missing else int(row))
        for kind, row, missing in zip(result.problems["kind"], rows, rows.isna(), strict=True)
    ]


def said(result: ParsedFile) -> str:
    """All problems as one text."""
    return "\n".join(result.problems["problem"] + " " + result.problems["remedy"])
