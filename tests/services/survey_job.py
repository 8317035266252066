"""The small invented project with a survey asked for: a pile, a battered pile and an anchor."""

from __future__ import annotations

from pathlib import Path

from tests.services.small import CERTIFICATES, INSTRUMENTS, SETTINGS, log, started

_CRITERIA = """\
[criteria.{name}.survey_recorded]
clause = "6.1"
due = "installed"
due_after_days = 7
stages = ["after cut-off", "before concrete", "re-survey"]
[criteria.{name}.plan_offset]
clause = "6.2"
due = "surveyed"
max_mm = 75
measured = "radial"
[criteria.{name}.axis_angle]
clause = "6.3"
due = "surveyed"
max_deg = 2
[criteria.{name}.head_level]
clause = "6.4"
due = "surveyed"
max_above_mm = 25
max_below_mm = 50
"""
REVIEW = '[criteria.all.survey_reviewed]\nclause = "6.5"\ndue = "surveyed"\ndue_after_days = 5\n'
_OF_SURVEY = ("survey_recorded", "plan_offset", "axis_angle", "head_level")
_SILENT = 'not_required = "clause 6 asks for none"\n'


def settings(*, review: bool = False) -> str:
    """Settings of a job that asks for surveys; its anchors are judged by their cover.

    With ``review`` the survey of a pile has to be reviewed.
    """
    text = SETTINGS.replace('last_stage = "installed"', 'last_stage = "surveyed"')
    for name in _OF_SURVEY:
        text = text.replace(f"[criteria.all.{name}]\n{_SILENT}", "")
    general, criteria = text[: text.index("[criteria.")], text[text.index("[criteria.") :]
    pile = general[general.index("[types.T1]") : general.index("[[torque_factors]]")]
    anchor = pile.replace("T1", "A1").replace("helical pile", "helical anchor")
    anchor = anchor.replace('"all"', '"anchors"')
    of_anchors = criteria.replace("criteria.all", "criteria.anchors")
    of_anchors = of_anchors.replace("along the axis", "vertical cover over the top helix")
    given = [_CRITERIA.format(name=name) for name in ("all", "anchors")]
    if review:
        silent = f"[criteria.all.survey_reviewed]\n{_SILENT}"
        criteria = criteria.replace(silent, REVIEW)
    return general + anchor + criteria + given[0] + of_anchors + given[1]


# 101 is vertical; 102 leans 1:4 with its toe to the east; 103 is an anchor at 3:4 to the east.
SCHEDULE = """\
Position,Revision,Issued on,Status,Area,Type,Easting (m),Northing (m),Cut-off level (m),\
Batter from vertical (h:v),Azimuth (deg),Direction,Required torque (kN·m),Minimum embedment (m)
101,A,2026-02-01,for construction,A,T1,100.0,200.0,5.0,,,compression,5.0,2.4
102,A,2026-02-01,for construction,A,T1,103.0,200.0,5.0,1:4,90,compression,5.0,2.4
103,A,2026-02-01,for construction,A,A1,500.0,800.0,10.0,3:4,90,compression,5.0,2.4
"""
HEAD = "Pile,Survey stage,Date,Easting (m),Northing (m),Level (m),Head level (m),"
HEAD += "Tilt east (deg),Tilt north (deg)\n"


def surveyed(*rows: str) -> tuple[str, str]:
    """A file of surveys."""
    return "surveys.csv", HEAD + "\n".join(rows) + "\n"


def survey_project(parent: Path, *rows: str, day: str = "2026-03-02") -> Path:
    """The project with all three piles installed on ``day`` and a file of surveys, if any."""
    files = [("schedule.csv", SCHEDULE), ("instruments.csv", INSTRUMENTS)]
    files += [("certificates.csv", CERTIFICATES)]
    files += [(f"log_{pile}.csv", log(pile, day=day)) for pile in ("101", "102", "103")]
    files += [surveyed(*rows)] if rows else []
    return started(parent, settings(), *files)
