"""An invented grouted job in US units, and its twin: settings and files of the same values in SI.

Many values lie exactly on their limit. The settings of the twin have old keys and bare numbers.
"""

from __future__ import annotations

import re
from pathlib import Path

from tests.services.small import started
from tests.services.whole_job import settings

# What a line of the whole job's settings is in US units, and in SI with the same value.
TWINS = (
    ('system = "SI"', 'system = "US"', 'system = "SI"'),
    ('name = "round 89 mm"', 'name = "round 3.5 in"', 'name = "round 3.5 in"'),
    ("outside_diameter_mm = 88.9", 'outside_diameter = "3.5 in"', "outside_diameter_mm = 88.9"),
    ("rated_torque_nm = 12000", 'rated_torque = "8000 ft·lbf"',
     "rated_torque_nm = 10846.543586651203"),
    ("helix_mm = [350]", 'helix = ["14 in"]', "helix_mm = [355.6]"),
    ("pitch_mm = 75", 'pitch = "3 in"', "pitch_mm = 76.2"),
    ("disc_mm = 200", 'disc = "8 in"', "disc_mm = 203.2"),
    ('value = 23\nunit = "1/m"', 'value = 6.5\nunit = "1/ft"',
     'value = 21.32545931758530\nunit = "1/m"'),
    ('value = 25\nunit = "1/m"', 'value = 7\nunit = "1/ft"',
     'value = 22.96587926509186\nunit = "1/m"'),
    ("window_mm = 900", 'window = "3 ft"', "window_mm = 914"),
    ("interval_tolerance_mm = 10", 'interval_tolerance = "0.4 in"', "interval_tolerance_mm = 10"),
    ("toe_reading_mm = 150", 'toe_reading = "6 in"', "toe_reading_mm = 153"),
    ("\ninterval_mm = 300", '\ninterval = "1 ft"', "\ninterval_mm = 305"),
    ("stop_h = 12", 'stop = "12 h"', "stop_h = 12"),
    ("max_gap_mm = 300", 'max_gap = "1 ft"', "max_gap_mm = 305"),
    ("min_kg_m3 = 1850", 'min = "115 lb/ft3"', "min_kg_m3 = 1842.123288005416"),
    ("max_kg_m3 = 1950", 'max = "122 lb/ft3"', "max_kg_m3 = 1954.252531623137"),
    ("\nmin_s = 10", '\nmin = "10 s"', "\nmin_s = 10"),
    ("max_s = 25", 'max = "25 s"', "max_s = 25"),
    ("max_h = 1.5", 'max = "1.5 h"', "max_h = 1.5"),
    ("min_mpa = 35", 'min = "5000 psi"', "min_mpa = 34.47378646584180"),
    ("age_days = 28", 'age = "28 days"', "age_days = 28"),
    ("overdue_after_days = 7", 'overdue_after = "7 days"', "overdue_after_days = 7"),
    ("due_after_days = 7", 'due_after = "7 days"', "due_after_days = 7"),
    ("max_drop_mm = 100", 'max_drop = "4 in"', "max_drop_mm = 102"),
    ("initial_set_h = 6", 'initial_set = "6 h"', "initial_set_h = 6"),
    ("within_mm = 2000", 'within = "10 ft"', "within_mm = 3048"),
    ("min_h = 24", 'min = "24 h"', "min_h = 24"),
    ("max_difference_mm = 50", 'max_difference = "3 in"', "max_difference_mm = 77"),
    ("max_mm = 75", 'max = "3 in"', "max_mm = 76.2"),
    ("max_deg = 2", 'max = "2 deg"', "max_deg = 2"),
    ("max_above_mm = 25", 'max_above = "1.2 in"', "max_above_mm = 30.48"),
    ("max_below_mm = 50", 'max_below = "2 in"', "max_below_mm = 50.8"),
    ("yield_mpa = 450", 'yield = "65 ksi"', "yield_mpa = 448.1592240559434"),
    ("tensile_mpa = 540", 'tensile = "80 ksi"', "tensile_mpa = 551.5805834534689"),
    ("elongation_percent = 16", 'elongation = "16 %"', "elongation_percent = 16"),
    ("max_percent = { C = 0.22, CE = 0.45 }", 'max = { C = "0.22 %", CE = "0.45 %" }',
     "max_percent = { C = 0.22, CE = 0.45 }"),
    ("zinc_um = 75", 'zinc = "3 mil"', "zinc_um = 76.2"),
    ("accuracy_class_percent = 1.0", 'accuracy_class = "1.0 %"', "accuracy_class_percent = 1.0"),
    ("full_scale_nm = 12000", 'full_scale = "9000 ft·lbf"', "full_scale_nm = 12202.36153498260"),
    ("resolution_nm = 100", 'resolution = "50 ft·lbf"', "resolution_nm = 67.79089741657002"),
    ("full_scale_kpa = 25000", 'full_scale = "3600 psi"', "full_scale_kpa = 24821.12625540210"),
    ("resolution_kpa = 100", 'resolution = "20 psi"', "resolution_kpa = 137.8951458633672"),
    ("calibration_nm = 60", 'calibration = "44 ft·lbf"', "calibration_nm = 59.65598972658162"),
)  # fmt: skip
MORE = """
[[steel_grades]]
standard = "Invented tube standard, 2024"
grade = "T-65"
yield_mpa = 450
tensile_mpa = 540
elongation_percent = 16
max_percent = { C = 0.22, CE = 0.45 }
source = "invented"
[[torque_uncertainty]]
instrument = "TI-1"
accuracy_class_percent = 1.0
full_scale_nm = 12000
resolution_nm = 100
calibration_nm = 60
coverage = 2.0
source = "invented"
[[torque_uncertainty]]
instrument = "GS-1"
accuracy_class_percent = 1.0
full_scale_kpa = 25000
resolution_kpa = 100
calibration_nm = 60
coverage = 2.0
source = "invented"
[[safety_factors]]
direction = "compression"
nature = "sustained"
value = 2.0
clause = "invented"
"""
IN_SI = {  # a unit of a heading, the SI unit, and how many of it are one; exact by definition
    "ft": ("m", 0.3048),
    "in": ("mm", 25.4),
    "ft·lbf": ("N·m", 1.3558179483314004),
    "psi": ("kPa", 6.894757293168361),
    "ksi": ("MPa", 6.894757293168361),
    "kip": ("kN", 4.4482216152605),
    "lb/ft3": ("kg/m3", 16.018463373960138),
    "US gal": ("L", 3.785411784),
    "mil": ("µm", 25.4),
}

_FIVE = ("101", "102", "103", "104", "105")
SCHEDULE = (
    "Position,Revision,Issued on,Status,Area,Type,Easting (ft),Northing (ft),Direction,"
    "Compression (kip),Load basis,Load nature,Required torque (ft·lbf),Minimum embedment (ft),"
    "Ground level (ft),Cut-off level (ft)\n"
) + "".join(
    f"{pile},A,2026-02-01,for construction,A,T1,{330 + 10 * place},660,compression,"
    "14,service,sustained,4000,10,7.0,7.25\n"
    for place, pile in enumerate(_FIVE)
)
INSTRUMENTS = """\
Instrument,Kind,Rig
TI-1,torque indicator,Rig 1
GS-1,pressure gauge set,Rig 2
"""
OF_INDICATOR = """\
Instrument,Certificate,Issued on,Valid from,Valid to,Point,Torque (ft·lbf)
TI-1,C-1,2026-01-10,2026-01-10,2027-01-09,1,300
TI-1,C-1,2026-01-10,2026-01-10,2027-01-09,2,9000
"""
OF_GAUGE = """\
Instrument,Certificate,Issued on,Valid from,Valid to,Point,Differential pressure (psi),\
Torque (ft·lbf)
GS-1,C-2,2026-01-10,2026-01-10,2027-01-09,1,100,300
GS-1,C-2,2026-01-10,2026-01-10,2027-01-09,2,3000,9000
"""
_LOG = (
    "Pile,Run,Date,Rig,Instrument,Toe depth (ft),Reason for stopping,First disc depth (ft),"
    "Start time,End time,Stick-up (ft),Cut off (ft),Depth (ft),{read}\n"
)


def log(pile: str, values: list[float], *, toe: float = 10, read: str = "Torque (ft·lbf)",
        instrument: str = "TI-1", day: str = "2026-03-02") -> str:  # fmt: skip
    """The log of one pile with a reading a foot from the ground."""
    run = (f"{pile},1,{day},Rig 1,{instrument},{toe},torque and depth reached,1,{day} 08:05,"
           f"{day} 08:45,0.5,1.25")  # fmt: skip
    rows = [f"{run},{depth},{value}" for depth, value in enumerate(values, start=1)]
    return _LOG.format(read=read) + "\n".join(rows) + "\n"


_RISING = [500, 1000, 1500, 2000, 2500, 3000, 3500]
LOGS = {
    "log_101": log("101", [*_RISING, 4500, 5000, 8000]),  # the rating
    "log_102": log("102", [*_RISING, 3900, 4000, 4100], day="2026-03-09"),  # the required torque
    "log_103": log("103", [*_RISING, 3800, 4000, 4100], day="2026-03-10"),  # less than required
    "log_104": log("104", [200, 300, 400, 500, 600, 800, 1000, 1200, 1400, 1500],
                   read="Differential pressure (psi)", instrument="GS-1", day="2026-03-11"),
    # Half a foot from the last reading to the toe: 2896 mm less 2743 mm.
    "log_105": log("105", [*_RISING, 4500, 5000], toe=9.5, day="2026-03-12"),
}  # fmt: skip
WORKS = {
    "batches": """\
Batch,Date mixed,Time mixed,Density (lb/ft3),Flow (s)
B1,2026-03-02,2026-03-02 08:00,115,10
B2,2026-03-02,2026-03-02 08:30,122,25
""",
    "placements": """\
Pile,Run,Lift,Batch,From (ft),To (ft),Batched (US gal),Left (US gal),Spilled (US gal),\
Returned (US gal),Start,End,Level drop (in),Topped up (US gal)
101,1,1,B1,2,6,14,0.5,0.5,0,2026-03-02 08:10,2026-03-02 08:18,4,
101,1,2,B2,6,10,11,0.5,0,0,2026-03-02 08:20,2026-03-02 08:28,4,
""",
    "specimens": """\
Specimen,Sample group,Batch,Taken,Age (d),Tested,Strength (psi),Laboratory,Report
S1,G1,B1,2026-03-02,28,2026-03-30,5000,Invented Lab,L-1
S2,G1,B1,2026-03-02,28,2026-03-30,5900,Invented Lab,L-2
S3,G1,B1,2026-03-02,28,2026-03-30,5600,Invented Lab,L-2
""",
    "members": "Sample group,Pile\nG1,101\n",
    "components": """\
Stamp,Delivery,Kind,Lot,Quantity,Length (ft),Section,Helix set,Rated torque (ft·lbf),\
Rating document,Zinc thickness (mil)
L-1,DN-1,lead,LOT-1,1,7,round 89,350,9000,data sheet 3,3
L-2,DN-1,lead,LOT-1,1,7,round 89,350,9000,data sheet 3,2.9
E-7,DN-1,extension,,4,5,round 89,,9000,data sheet 3,3
""",
    "pieces": """\
Stamp,Delivery,Piece,Mill,Heat,Certificate
L-1,DN-1,whole,Mill X,7Q1803,
L-2,DN-1,whole,Mill X,7Q1804,
E-7,DN-1,whole,,9K0001,
""",
    "placed": """\
Pile,Run,Place in string,Stamp,Used length (ft),Bolts
101,1,1,L-1,,none needed
101,1,2,E-7,,fitted and tight
102,1,1,L-2,,none needed
102,1,2,E-7,,fitted and tight
""",
    "certificates": """\
Mill certificate,Certificate type,Standard,Grade
MC-5,3.1,"Invented tube standard, 2024",T-65
""",
    "heats": """\
Mill certificate,Mill,Heat,Page,Yield (ksi),Tensile (ksi),Elongation (%),C (%),CE (%)
MC-5,Mill X,7Q1803,2,65,80,16,0.22,0.45
MC-5,Mill X,7Q1804,2,64.9,80,16,0.22,0.45
MC-5,Mill X,9K0001,3,70,85,21,0.18,0.41
""",
    "surveys": """\
Pile,Survey stage,Date,Easting (ft),Northing (ft),Level (ft),Head level (ft),Tilt east (deg),\
Tilt north (deg),Surveyor,Reviewed by,Review date
101,after cut-off,2026-03-20,330.25,660,7.25,7.35,2,0,Invented Surveys,Ada Invented,2026-03-21
102,after cut-off,2026-03-20,340.3,660,7.0,7.0,2.1,0,Invented Surveys,Ada Invented,2026-03-21
""",
}
FILES = {
    "schedule": SCHEDULE,
    "instruments": INSTRUMENTS,
    "of_indicator": OF_INDICATOR,
    "of_gauge": OF_GAUGE,
    **LOGS,
    **WORKS,
}


def in_si(text: str) -> str:
    """A file of US units with the same values in SI."""
    head, *rows = text.splitlines()
    factors: list[float | None] = []
    names = []
    for name in head.split(","):
        unit = re.search(r" \((.+)\)$", name)
        si, factor = IN_SI.get(unit[1], (unit[1], None)) if unit else ("", None)
        names.append(name.replace(f"({unit[1]})", f"({si})") if unit else name)
        factors.append(factor)
    lines = [",".join(names)]
    for row in rows:
        cells = row.split(",") if '"' not in row else [row]
        lines.append(
            ",".join(
                repr(float(cell) * factor) if factor and cell else cell
                for cell, factor in zip(cells, factors, strict=False)
            )
        )
    return "\n".join(lines) + "\n"


def _settings(place: int) -> str:
    text = settings()
    text = text.replace('clause = "6.1"\n[component_kinds.ext', 'clause = "6.1"\nzinc_um = 75\n'
                        "[component_kinds.ext")  # fmt: skip
    silent = '[criteria.all.steel_grade]\nnot_required = "clause 6 asks for none"\n'
    assert silent in text
    asked = '[criteria.all.steel_grade]\nclause = "6.6"\ndue = "installed"\n'
    text = text.replace(silent, asked).replace("[[torque_factors]]", f"{MORE}[[torque_factors]]", 1)
    for twin in TWINS:
        assert twin[0] in text, twin[0]
        text = text.replace(twin[0], twin[place])
    return text


US_SETTINGS, SI_SETTINGS = _settings(1), _settings(2)


def us_project(parent: Path) -> Path:
    """The job as its people write it: settings and files in US units alone."""
    return started(parent, US_SETTINGS, *((f"{name}.csv", text) for name, text in FILES.items()))


def si_project(parent: Path) -> Path:
    """The twin: the same values in SI, settings with old keys and bare numbers."""
    files = [(f"{name}.csv", in_si(text)) for name, text in FILES.items()]
    return started(parent, SI_SETTINGS, *files)
