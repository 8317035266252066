"""A small invented project in a folder: three positions, one rig, everything in order."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable, Hashable
from functools import cache
from pathlib import Path

import duckdb

from core import records, services
from core.subjects.registry import CRITERION


def with_the_rest(settings: str, *, grouted: bool = False) -> str:
    """``settings`` with every criterion that they do not name declared not required.

    Without ``grouted`` those of grouted types alone are left out.
    """
    rest = [
        f'[criteria.all.{key}]\nnot_required = "clause 6 asks for none"\n'
        for key, criterion in CRITERION.items()
        if f"[criteria.all.{key}]" not in settings and (grouted or not criterion.grouted_only)
    ]
    return settings + "".join(rest)


MADE = tempfile.TemporaryDirectory(prefix="small-")  # conftest.py removes it
STAGES = (3, 7)  # files of a project that others share: its schedule and instruments, its steel

SETTINGS = with_the_rest("""
[project]
name = "Invented footbridge"
time_zone = "Europe/Oslo"
assessed_on = 2026-03-31
system = "SI"
[roles.engineer]
may = ["accept", "withdraw", "release"]
[roles.foreman]
may = []
[[people]]
name = "Ada Invented"
roles = ["engineer"]
[[people]]
name = "Bo Invented"
roles = ["foreman"]
[areas.A]
name = "Area A"
[sections."round 89"]
name = "round 89 mm"
shape = "tube"
outside_diameter_mm = 88.9
rated_torque_nm = 12000
rated_torque_document = "invented data sheet 1"
[helix_sets."350"]
helix_mm = [350]
pitch_mm = 75
[types.T1]
name = "pile"
element = "helical pile"
section = "round 89"
helix_set = "350"
grouted = false
last_stage = "installed"
criteria = "all"
[[torque_factors]]
id = "TF1"
section = "round 89"
direction = "compression"
grouted = false
helix_set = "any"
ground = "any"
value = 23
unit = "1/m"
source = "invented"
[criteria.all.required_torque]
clause = "5.1"
due = "installed"
window_mm = 900
interval_tolerance_mm = 10
window_rule = "plain mean"
cross_check_share = 0.02
toe_reading_mm = 150
[criteria.all.rated_torque]
clause = "5.2"
due = "installing"
[criteria.all.embedment]
clause = "5.3"
due = "installed"
measure = "along the axis"
[criteria.all.drop_at_end]
clause = "5.4"
due = "installed"
max_share = 0.2
[criteria.all.stop_reason]
clause = "5.5"
due = "stopped"
accepted_reasons = ["torque and depth reached", "instructed"]
[criteria.all.advance_per_revolution]
not_required = "clause 5.6 asks for none"
[criteria.all.reading_gaps]
clause = "5.7"
due = "installed"
interval_mm = 300
interval_tolerance_mm = 10
above_window = "noted"
[criteria.all.calibration_in_force]
clause = "5.8"
due = "installing"
[criteria.all.calibrated_range]
clause = "5.9"
due = "installed"
[criteria.all.torque_factor]
clause = "5.10"
due = "installed"
[criteria.all.disturbed_ground]
clause = "5.11"
due = "installed"
largest_helix_multiple = 3
[criteria.all.penetration_after_stop]
clause = "5.12"
due = "installed"
stop_h = 12
largest_helix_multiple = 1
[criteria.all.events]
clause = "5.13"
due = "installing"
largest_helix_multiple = 3
refusal = "not met"
""")

UNCERTAIN = """
[[torque_uncertainty]]
instrument = "TI-1"
accuracy_class_percent = 1.0
full_scale_nm = 12000
resolution_nm = 100
calibration_nm = 60
coverage = 2.0
source = "invented"
"""

SCHEDULE = """\
Position,Revision,Issued on,Status,Area,Type,Easting (m),Northing (m),Direction,\
Required torque (kN·m),Minimum embedment (m)
101,A,2026-02-01,for construction,A,T1,100.0,200.0,compression,5.0,2.4
102,A,2026-02-01,for construction,A,T1,103.0,200.0,compression,5.0,2.4
103,A,2026-02-01,for construction,A,T1,106.0,200.0,compression,5.0,2.4
"""
INSTRUMENTS = """\
Instrument,Kind,Rig
TI-1,torque indicator,Rig 1
"""
CERTIFICATES = """\
Instrument,Certificate,Issued on,Valid from,Valid to,Point,Torque (kN·m)
TI-1,C-1,2026-01-10,2026-01-10,2027-01-09,1,0.5
TI-1,C-1,2026-01-10,2026-01-10,2027-01-09,2,12.0
"""
LOG_HEAD = (
    "Pile,Run,Date,Rig,Instrument,Toe depth (m),Reason for stopping,Depth (m),Torque (kN·m)\n"
)


def log(pile="101", torques=None, *, day="2026-03-02", stop="torque and depth reached", run="1"):
    """A rig's log of one run with a reading every 300 mm from the ground, torque in kN·m."""
    torques = torques or [1.0, 2.0, 3.0, 4.0, 5.0, 5.5, 6.0, 6.2, 6.4, 6.6]
    toe = f"{0.3 * len(torques):.1f}"
    rows = [
        f"{pile},{run},{day},Rig 1,TI-1,{toe},{stop},{0.3 * (n + 1):.1f},{torque}"
        for n, torque in enumerate(torques)
    ]
    return LOG_HEAD + "\n".join(rows) + "\n"


def write(folder: Path, name: str, text: str) -> Path:
    """A file of ``text`` beside the project, ready to be taken in."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


def take_in(project: Path, *files: tuple[str, str], **choice):
    """Take named texts in as one command by the foreman."""
    paths = [write(project.parent / "incoming", name, text) for name, text in files]
    return services.import_files(
        project, paths, by="Bo Invented", choice=services.ImportChoice(**choice)
    )


def empty_project(parent: Path) -> Path:
    """A project in ``parent`` with settings and nothing else."""
    return started(parent, SETTINGS)


def small_project(parent: Path, *logs: str) -> Path:
    """A project in ``parent`` with its schedule, instrument and certificate, and some logs."""
    files = [("schedule.csv", SCHEDULE), ("instruments.csv", INSTRUMENTS)]
    files += [("certificates.csv", CERTIFICATES)]
    files += [(f"log_{number}.csv", text) for number, text in enumerate(logs, start=1)]
    return started(parent, SETTINGS, *files)


def started(parent: Path, settings: str, *files: tuple[str, str]) -> Path:
    """A project in ``parent`` with these settings and files, copied from one like it if any."""
    return copied(parent, _started, settings, files)


def copied(parent: Path, make: Callable[..., Path], *given: Hashable) -> Path:
    """A copy in ``parent`` of the project that ``make`` made of the same before, or makes now."""
    return Path(shutil.copytree(_made(make, *given), parent / "project"))


@cache
def _made(make: Callable[..., Path], *given: Hashable) -> Path:
    """The project that others are copied from; it stays until the tests end."""
    return make(Path(tempfile.mkdtemp(dir=MADE.name)), *given)


def _started(parent: Path, settings: str, files: tuple[tuple[str, str], ...]) -> Path:
    before = max((number for number in STAGES if number < len(files)), default=0)
    if before:
        folder = copied(parent, _started, settings, files[:before])
    else:
        folder = parent / "project"
        services.new_project(folder)
        (folder / "project.toml").write_text(settings, encoding="utf-8")
    if files:
        report = take_in(folder, *files[before:])
        assert not report.refused, (report.problems, report.conflicts)
    return folder


def state(assessment, pile="101"):
    """State of one pile."""
    piles = assessment.piles
    return piles.loc[piles["pile_id"].fillna(piles["position_id"]).eq(pile), "state"].item()


def ledger(folder: Path):
    """What must not move when nothing is written: rows of every kind, chain, attachments."""
    with duckdb.connect(str(folder / "project.duckdb"), read_only=True) as con:
        rows = {kind: con.table(kind).count("*").fetchall()[0][0] for kind in records.KIND}
    places = (folder / "attachments").iterdir() if (folder / "attachments").is_dir() else ()
    kept = sorted((path.name, path.stat().st_size) for path in places)
    return rows, services.verify(folder), len(services.history(folder)), kept
