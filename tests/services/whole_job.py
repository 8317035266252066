"""A small invented job with everything on one pile: torque, grout, steel and a survey."""

from __future__ import annotations

from pathlib import Path

from tests.services import grout_job, steel_job
from tests.services.small import CERTIFICATES, INSTRUMENTS, SCHEDULE, started

_SURVEY = {
    "survey_recorded": 'clause = "8.1"\ndue = "installed"\ndue_after_days = 7\n'
    'stages = ["after installation", "after cut-off"]\n',
    "plan_offset": 'clause = "8.2"\ndue = "surveyed"\nmax_mm = 75\nmeasured = "radial"\n',
    "axis_angle": 'clause = "8.3"\ndue = "surveyed"\nmax_deg = 2\n',
    "head_level": 'clause = "8.4"\ndue = "surveyed"\nmax_above_mm = 25\nmax_below_mm = 50\n',
}
_SILENT = 'not_required = "clause 6 asks for none"\n'
# Piles 101 to 103 stand upright, their ground at 2.00 m and their cut-off level at 2.10 m.
LEVELS = "\n".join(
    line + (",Ground level (m),Cut-off level (m)" if number == 0 else ",2.0,2.1")
    for number, line in enumerate(SCHEDULE.splitlines())
)
SURVEYS = """\
Pile,Survey stage,Date,Easting (m),Northing (m),Level (m),Head level (m),Tilt east (deg),\
Tilt north (deg),Surveyor,Reviewed by,Review date
101,after installation,2026-03-04,100.010,199.990,2.400,,0.3,0.1,Invented Surveys,,
101,after cut-off,2026-03-20,100.030,199.960,2.110,2.110,0.3,0.1,Invented Surveys,Ada Invented,\
2026-03-21
"""


def settings() -> str:
    """Settings of the job: what the grouted job asks, steel and survey besides."""
    text = grout_job.GROUTED.replace(
        "[[torque_factors]]", steel_job.KINDS + "[[torque_factors]]", 1
    )
    text = text.replace('last_stage = "grouted"', 'last_stage = "surveyed"')
    for name, asked in _SURVEY.items():
        text = text.replace(f"[criteria.all.{name}]\n{_SILENT}", f"[criteria.all.{name}]\n{asked}")
    for name in ("string_recorded", "length_reconciliation", "steel_traced", "steel_grade"):
        text = text.replace(f"[criteria.all.{name}]\n{_SILENT}", "")
    return text + steel_job.OF_STEEL


def run_log() -> str:
    """The log of pile 101, with what stands above the ground and what is cut off."""
    head, *rows = grout_job.run_log().splitlines()
    more = [f"{row},0.1,0.5" for row in rows]
    return "\n".join([head + ",Stick-up (m),Cut off (m)", *more]) + "\n"


def whole_project(parent: Path, **changed: str) -> Path:
    """A project with all of it on pile 101; a keyword replaces the text of one file.

    Keywords: schedule, log, batches, placements, specimens, members, components, pieces, placed,
    certificates, heats, surveys.
    """
    files = {
        "schedule": LEVELS,
        "instruments": INSTRUMENTS,
        "calibrations": CERTIFICATES,
        "log": run_log(),
        "batches": grout_job.BATCHES,
        "placements": grout_job.placed(),
        "specimens": grout_job.SPECIMENS,
        "members": grout_job.MEMBERS,
        "components": steel_job.COMPONENTS,
        "pieces": steel_job.PIECES,
        "placed": steel_job.PLACED,
        "certificates": steel_job.MILL_CERTIFICATES,
        "heats": steel_job.HEATS,
        "surveys": SURVEYS,
    } | changed
    written = [(f"{name}.csv", text) for name, text in files.items() if text]
    return started(parent, settings(), *written)
