"""Record kinds of the pile and the run, and of what people say about a pile."""

from __future__ import annotations

from typing import Any

from core.records.checks import ends_after_start, row_check
from core.records.kinds import Column, Kind, Reference, Rows, Stated
from core.records.schedule import DUTIES, SCHEDULE

STOP_REASONS = (
    "torque and depth reached",
    "torque reached, depth not",
    "depth reached, torque not",
    "rating reached",
    "refusal on obstruction",
    "instructed",
    "end of shift",
)
PRESSURE_KINDS = ("differential", "line")
PRESSURE_QUESTION = "differential pressure across the motor, or line pressure at its inlet"
BARE_PRESSURES = (
    "pressure",
    "gauge pressure",
    "hydraulic pressure",
    "system pressure",
    "working pressure",
    "motor pressure",
    "oil pressure",
    "pressure reading",
)
STATED_PRESSURES = {
    "differential pressure": "differential",
    "diff pressure": "differential",
    "motor differential pressure": "differential",
    "pressure difference": "differential",
    "dp": "differential",
    "delta p": "differential",
    "Δp": "differential",
    "line pressure": "line",
    "inlet pressure": "line",
    "supply pressure": "line",
}  # fmt: skip
OUTSIDE_PRODUCTION = ("test before works", "reaction", "spare", "temporary", "sacrificial")

_FINAL_PRESSURES = {
    f"final {word}": kind for word, kind in STATED_PRESSURES.items() if "pressure" in word
}
PILE_ID = Column(
    "pile_id",
    "text",
    "Number of the pile, as text; a run that names only a position means the pile of that number.",
    aliases=(
        "pile",
        "pile no",
        "pile number",
        "pile id",
        "pile mark",
        "mark",
        "position",
        "position no",
        "anchor",
        "anchor no",
    ),
    required=True,
    example="101",
)
RUN_NO = Column(
    "run_no",
    "text",
    "One spell of work on the pile; 1 when the file does not give it.",
    aliases=("run", "run no", "run number"),
    default="1",
    example="1",
)

_NO_SCHEDULE = "Work on a pile of no schedule is a fact; it is kept and has a finding."


def _replaces_itself(rows: Rows) -> Any:
    return rows.given("replaces") & (rows.values["replaces"] == rows.values["pile_id"])


_replaces_another = row_check(
    "replaces",
    "replaces itself",
    _replaces_itself,
    "Pile {pile_id} replaces itself.",
    "Name the pile that it replaces, or leave the cell empty.",
)

PILE = Kind(
    "pile",
    "pile",
    "one pile that serves a position or is known by another number than its position's",
    ("pile_id",),
    (
        Column(
            "pile_id",
            "text",
            "Number of the pile, as text.",
            required=True,
            aliases=("pile", "pile no", "pile number", "pile id"),
            example="101R",
        ),
        Column(
            "position_id",
            "text",
            "Position that the pile serves.",
            required=True,
            aliases=("position", "position no", "position served", "serves"),
            example="101",
        ),
        Column(
            "replaces",
            "text",
            "Pile that this one replaces.",
            aliases=("replaces pile", "in place of"),
            example="101",
        ),
        Column(
            "duty",
            "text",
            "What the pile is for; the position's duty when empty.",
            choices=DUTIES,
            example="production",
        ),
        Column(
            "instructed_easting_m",
            "number",
            "Easting by instruction.",
            aliases=("instructed easting", "new easting"),
            example="100.65",
        ),
        Column(
            "instructed_northing_m",
            "number",
            "Northing by instruction.",
            aliases=("instructed northing", "new northing"),
            example="200.5",
        ),
        Column(
            "instruction",
            "text",
            "Number of the instruction.",
            aliases=("instruction no", "instruction number"),
            example="SI-14",
        ),
    ),
    refers_to=(
        Reference(
            SCHEDULE,
            {"position_id": "position_id"},
            reason="A pile may be recorded before the revision with its position.",
        ),
    ),
    order=20,
    checks=(_replaces_another,),
)

RUN = Kind(
    "run",
    "run",
    "one spell of work on one pile",
    ("pile_id", "run_no"),
    (
        PILE_ID,
        RUN_NO,
        Column(
            "run_on",
            "date",
            "Day on which the run began.",
            required=True,
            aliases=("date", "day", "installed on", "date installed"),
            example="2026-03-04",
        ),
        Column(
            "started_at",
            "timestamp",
            "When the run began.",
            aliases=("start", "start time", "started", "time start"),
            example="2026-03-04 07:30",
        ),
        Column(
            "ended_at",
            "timestamp",
            "When the run ended.",
            aliases=("end", "end time", "ended", "finish", "time end"),
            example="2026-03-04 08:10",
        ),
        Column(
            "why",
            "text",
            "Why this run; first when empty.",
            aliases=("why this run",),
            choices=("first", "resumed", "re-advanced", "extended"),
            example="first",
        ),
        Column("rig", "text", "Rig.", aliases=("machine", "rig no"), example="Rig 1"),
        Column(
            "instrument_id",
            "text",
            "Instrument of readings that name none.",
            aliases=("instrument", "indicator", "gauge set", "instrument no"),
            example="G1",
        ),
        Column(
            "gear",
            "text",
            "Gear of readings that name none.",
            aliases=("gear or range",),
            example="low",
        ),
        Column("crew", "text", "Crew.", aliases=("team",), example="Crew A"),
        Column("operator", "text", "Operator.", aliases=("driver",), example="A. Invented"),
        Column(
            "inspector",
            "text",
            "Inspector present.",
            aliases=("inspected by", "inspector present"),
            example="B. Invented",
        ),
        Column(
            "schedule_revision",
            "text",
            "Revision the crew worked to.",
            aliases=("drawing revision", "worked to revision"),
            example="A",
        ),
        Column(
            "ground_level_m",
            "number",
            "Level of the ground at the pile.",
            aliases=("ground level", "gl at pile"),
            example="2.8",
        ),
        Column(
            "toe_mm",
            "integer",
            "Recorded depth of the toe at the end, along the axis.",
            aliases=("toe depth", "toe", "final depth", "tip depth", "depth at end"),
            low=0,
            example="6.3",
        ),
        Column(
            "stop_reason",
            "text",
            "Reason for stopping.",
            choices=STOP_REASONS,
            aliases=("reason for stopping", "stop", "reason stopped"),
            example="torque and depth reached",
        ),
        Column(
            "advance_mm_per_turn",
            "number",
            "Advance per turn at the end of the run.",
            aliases=("advance at end", "final advance per turn"),
            low=0,
            example="74",
        ),
        Column(
            "first_disc_depth_mm",
            "integer",
            "Depth of the toe when the first disc entered.",
            aliases=("first disc depth", "first disc"),
            low=0,
            example="1.5",
        ),
        Column(
            "predrilled_length_mm",
            "integer",
            "Length drilled before the run.",
            aliases=("predrilled length", "pre-drilled length", "predrill"),
            low=0,
            example="0.5",
        ),
        Column(
            "remarks",
            "text",
            "Remarks.",
            aliases=("remark", "notes", "comment", "comments"),
            example="wet ground",
        ),
        Column(
            "stick_up_mm",
            "integer",
            "Length of the string above the ground at the end, along the axis.",
            aliases=("stick-up", "stick up", "stickup"),
            low=0,
            example="0.4",
        ),
        Column(
            "cut_off_mm",
            "integer",
            "Length cut off the top of the string.",
            aliases=("cut off", "length cut off", "cut-off length"),
            low=0,
            example="0.25",
        ),
        Column(
            "final_torque_read_nm",
            "number",
            "Torque at the toe as the indicator shows it at the end of the run.",
            aliases=("final torque", "torque at the end", "final installation torque"),
            low=0,
            example="7.2",
        ),
        Column(
            "final_pressure_kpa",
            "number",
            "Pressure at the toe at the end of the run.",
            aliases=("final pressure", *_FINAL_PRESSURES),
            low=0,
            stated=Stated(
                "final_pressure_kind",
                PRESSURE_QUESTION,
                "pressure",
                _FINAL_PRESSURES,
                {"line": "final_return_pressure_kpa"},
            ),
            example="118",
        ),
        Column(
            "final_pressure_kind",
            "text",
            "What the final pressure is; not recorded when empty.",
            choices=PRESSURE_KINDS,
            example="differential",
        ),
        Column(
            "final_return_pressure_kpa",
            "number",
            "Return pressure assumed beside a final line pressure.",
            aliases=("final return pressure",),
            low=0,
            example="0",
        ),
    ),
    refers_to=(
        Reference(PILE, {"pile_id": "pile_id"}, reason=_NO_SCHEDULE),
        Reference(SCHEDULE, {"pile_id": "position_id"}, reason=_NO_SCHEDULE),
    ),
    order=60,
    day="run_on",
    checks=(ends_after_start("run"),),
    shared_columns=("instrument_id", "gear"),
    distinctive=("toe_mm", "stop_reason", "started_at", "ended_at"),
)

# A row about one pile refers to a pile, to a position of that number or to a run.
_MAY_COME_LATER = "The schedule or the log may come later; until then somebody has to look for it."
OF_PILE = (
    Reference(PILE, {"pile_id": "pile_id"}, "outstanding", _MAY_COME_LATER),
    Reference(SCHEDULE, {"pile_id": "position_id"}, "outstanding", _MAY_COME_LATER),
    Reference(RUN, {"pile_id": "pile_id"}, "outstanding", _MAY_COME_LATER),
)

STAGE_RECORD = Kind(
    "stage_record",
    "stage record",
    "one stage that one pile has reached",
    ("pile_id", "stage"),
    (
        PILE_ID,
        Column(
            "stage",
            "text",
            "Stage reached.",
            required=True,
            choices=("released", "set out", "cut off", "concreted over"),
            example="set out",
        ),
        Column(
            "stage_on",
            "date",
            "Day on which it was reached.",
            required=True,
            aliases=("date", "on", "stage date"),
            example="2026-03-01",
        ),
        Column(
            "evidence",
            "text",
            "What shows it.",
            aliases=("reference", "document"),
            example="stake sheet 4",
        ),
    ),
    refers_to=OF_PILE,
    order=240,
    day="stage_on",
)

SIGN_OFF = Kind(
    "sign_off",
    "sign-off",
    "one person's acceptance of one pile, in one role",
    ("subject", "role"),
    (
        Column("subject", "text", "Pile that is accepted.", required=True),
        Column("role", "text", "Role of the person who signs.", required=True),
        Column("person", "text", "Who signs.", required=True),
        Column("signed_on", "date", "Day of the sign-off, in the project's zone.", required=True),
        Column("digest", "text", "Digest of what the sign-off saw.", required=True),
        Column(
            "seen",
            "text",
            "What it saw: values, limits, results at printed precision.",
            required=True,
        ),
        Column("note", "text", "Note of the person."),
    ),
    from_files=False,
    order=250,
    day="signed_on",
)
