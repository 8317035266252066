"""Criteria of the pile and findings about its schedule, runs and numbers."""

from __future__ import annotations

from typing import Annotated, Literal

import numpy as np
from pydantic import Field

from core import records
from core.criteria.base import Criterion, Feeds
from core.criteria.cases import Cases
from core.criteria.columns import Array, Columns, Mask, Texts
from core.criteria.findings import Findings, no_findings, other_findings, rows_by_number
from core.criteria.kinds import CRITERION_NOT_SET, FindingKind, finding, makes
from core.criteria.outcomes import RESULT, Outcome, at_least, outcome, without_numbers

# What a revision may change that moves a pile's judgement.
JUDGED_COLUMNS = (
    "pile_type",
    "required_torque_nm",
    "rated_torque_nm",
    "min_embedment_mm",
    "batter_deg",
    "azimuth_deg",
    "easting_m",
    "northing_m",
    "cutoff_level_m",
    "direction",
    "ground_class",
    "ground_level_m",
    "finished_grade_level_m",
    "scour_level_m",
    "grouted_length_mm",
    "failure_surface_depth_mm",
    "design_compression_kn",
    "design_tension_kn",
    "load_basis",
    "load_nature",
    "duty",
)


class Embedment(Criterion):
    """Which length the schedule's minimum embedment is compared with."""

    after = "rated_torque"

    measure: Annotated[
        Literal["along the axis", "vertical cover over the top helix", "beyond a failure surface"],
        Feeds("embedment_measure"),
    ] = Field(description="what embedment is measured by")

    @finding(
        "embedment",
        "embedment",
        "Embedment by the project's measure against the minimum embedment.",
        blocks="AC",
        responsible="DES",
        closed_by="a deeper run, a replacement or a concession",
        measure="embedment_mm",
        sense="at least",
        unit_column="embedment_mm",
    )
    @staticmethod
    def embedment(cases: Cases) -> Outcome:
        """Embedment by the measure the criterion names against the schedule's minimum embedment."""
        measured, limit = cases["embedment_mm"], cases["min_embedment_mm"]
        found = outcome(cases, at_least(measured, limit), measured, limit, cases.text("measure"))
        found.put(np.isnan(limit), note="the schedule prints no minimum embedment")
        found.put(
            np.isnan(measured), note="a level, the toe or the failure surface is not recorded"
        )
        return found


class StopReason(Criterion):
    """Reasons for stopping that need no decision."""

    after = "drop_at_end"
    usual_due = "stopped"

    accepted_reasons: Annotated[tuple[str, ...], Field(min_length=1)] = Field(
        examples=[("torque and depth reached", "instructed")]
    )

    @finding(
        "stop_reason",
        "reason for stopping",
        "The recorded reason for stopping against the reasons that need no decision.",
        blocks="AC",
        responsible="DES",
        closed_by="an instruction, a further run or a replacement",
        measure="stop_reason",
    )
    @staticmethod
    def stop_reason(cases: Cases) -> Outcome:
        """The last run's reason for stopping is one that needs no decision, whatever the torque."""
        given = cases.text("stop_reason")
        pairs = zip(given.tolist(), cases.parameter("accepted_reasons"), strict=True)
        accepted = np.array([reason in reasons for reason, reasons in pairs], dtype=bool)
        found = without_numbers(cases, "not met", given, run=cases.text("last_run_no"))
        found.put(accepted, "met")
        found.put(given == "", "no evidence", note="no reason is recorded")
        waiting = (given == "end of shift") & cases.is_text("stage", "stopped")
        found.put(waiting, "not yet due")
        return found


class DisturbedGround(Criterion):
    """How far below an earlier toe torque counts again, in largest helix diameters."""

    after = "torque_factor"

    largest_helix_multiple: Annotated[float, Field(gt=0), Feeds("disturbed_multiple")] = Field(
        description="new penetration below disturbed ground, in largest helix diameters",
        examples=[3],
    )

    @finding(
        "disturbed_ground",
        "disturbed ground",
        "Penetration after reverse rotation or re-advance, which voids torque until it is reached.",
        blocks="AC",
        responsible="DES",
        closed_by="a deeper run or the engineer's decision",
        measure="disturbed_toe_mm",
        sense="at least",
        unit_column="toe_mm",
    )
    @staticmethod
    def disturbed_ground(cases: Cases) -> Outcome:
        """New penetration below the toe at which the ground was disturbed."""
        disturbed = cases["disturbed_toe_mm"]
        measured, limit = cases["toe_mm"] - disturbed, cases["void_to_mm"] - disturbed
        found = outcome(cases, at_least(measured, limit), measured, limit)
        none = "no reverse rotation and no re-advance on record"
        found.put(np.isnan(disturbed), "met", note=none)
        return found


class PenetrationAfterStop(Criterion):
    """After how long a stop, how much new penetration is needed before readings count."""

    after = "disturbed_ground"

    stop_h: Annotated[float, Field(gt=0), Feeds("stop_h")] = Field(
        description="time of a stop beyond which new penetration is needed", examples=["4 h"]
    )
    largest_helix_multiple: Annotated[float, Field(gt=0), Feeds("stop_multiple")] = Field(
        description="new penetration after a long stop, in largest helix diameters", examples=[1]
    )

    @finding(
        "penetration_after_stop",
        "penetration after a stop",
        "New penetration after a long stop, before which readings do not count.",
        blocks="A",
        responsible="FM",
        closed_by="a deeper run or the engineer's decision",
        measure="stop_from_mm",
        sense="at least",
        unit_column="toe_mm",
    )
    @staticmethod
    def penetration_after_stop(cases: Cases) -> Outcome:
        """New penetration after a stop longer than the project's hours."""
        stopped = cases["stop_from_mm"]
        measured, limit = cases["toe_mm"] - stopped, cases["stop_to_mm"] - stopped
        found = outcome(cases, at_least(measured, limit), measured, limit)
        found.put(np.isnan(stopped), "met", note="no longer stop on record")
        return found


RUN_NOT_CLOSED = FindingKind(
    "run_not_closed",
    "run not closed",
    "A run with readings that has no toe depth or no reason for stopping.",
    "AH",
    "FM",
    "the toe depth and the reason for stopping from the field sheet",
    since=2,
)


@makes(RUN_NOT_CLOSED, of=("runs", "work_after_runs"))
def open_run_findings(runs: Columns, after: Columns) -> Findings:
    """Runs with readings and no toe depth or reason for stopping, one finding per run.

    *Noted* while the pile is being driven; *no evidence* once work went past the run: ``after``
    it, or by a later run that ended other than with the shift. A later run does not close an
    earlier one, whose toe nobody recorded. ``runs``: in the order of the work, with closed,
    open_run and lacks.
    """
    open_ = np.flatnonzero(runs.is_true("open_run"))
    if not len(open_):
        return no_findings()
    pile_id, run_no, lacks = (runs.text(name) for name in ("pile_id", "run_no", "lacks"))
    last = {pile: at for at, pile in enumerate(pile_id.tolist())}
    ended = runs.is_true("closed") & (runs.text("stop_reason") != "end of shift")
    works: dict[str, list[str]] = {}
    for pile, work in zip(after.text("pile_id"), after.text("work"), strict=True):
        works.setdefault(pile, []).append(work)
    notes, gone = [], []
    for at in open_.tolist():
        pile = pile_id[at]
        past = ", ".join(works.get(pile, ["a later run ended"] if ended[last[pile]] else []))
        notes.append(f"run {run_no[at]}: {lacks[at]}" + (f"; since then: {past}" if past else ""))
        gone.append(bool(past))
    result = np.where(gone, RESULT["no evidence"], RESULT["noted"])
    return other_findings(
        pile_id[open_], RUN_NOT_CLOSED, result, notes, "open_run", run=run_no[open_]
    )


REVISION_AT_RUN = FindingKind(
    "schedule_revision_at_run",
    "schedule revision at the run",
    "What the schedule required on the day of the run against what it requires now.",
    "H",
    "DES",
    "the engineer's confirmation that the later revision governs",
)
_TEXTS = {one.name for one in records.KIND["schedule"].columns if one.form == "text"}
REVISION_WORKED_TO = FindingKind(
    "revision_worked_to",
    "revision worked to",
    "The revision the crew worked to against the one in force on the day of the run.",
    "A",
    "DES",
    "the engineer's confirmation",
)


@makes(REVISION_AT_RUN, REVISION_WORKED_TO, of=("piles", "schedule_at_runs", "schedule_in_force"))
def revision_findings(piles: Columns, then: Columns, now: Columns) -> Findings:
    """Findings about the revision on the day of each pile's last run.

    ``then``: per pile with a run until the day of assessment the day and schedule_revision of the
    last one, beside the row for construction in force that day, empty when none was; ``now``: the
    rows in force on the day of assessment.
    """
    place = {pile: at for at, pile in enumerate(piles.text("pile_id").tolist())}
    of_pile = np.array([place.get(pile, -1) for pile in then.text("pile_id")], dtype=np.int64)
    position, last_run_no, revision = (
        np.append(piles.text(name), "")[of_pile]
        for name in ("position_id", "last_run_no", "revision")
    )
    informed = _changed_since(position, then, now, last_run_no)
    in_force, given = then.text("revision"), then.text("schedule_revision")
    none = (in_force == "") & (revision != "")
    wrong = np.flatnonzero(none | ((given != "") & (in_force != "") & (given != in_force)))
    notes = [
        "no revision for construction was in force on the day of the run" if none[at]
        else f"the crew worked to {given[at]}; in force that day: {in_force[at]}"
        for at in wrong.tolist()
    ]  # fmt: skip
    worked = other_findings(
        then.text("pile_id")[wrong], REVISION_WORKED_TO, "not met", notes, "schedule",
        run=last_run_no[wrong],
    )  # fmt: skip
    return Findings.joined([informed, worked])


def _changed_since(position: Texts, then: Columns, now: Columns, last_run_no: Texts) -> Findings:
    """Piles of which another revision than that of the day of the run changes what is judged.

    A position has one row in a revision.
    """
    rows = {text: at for at, text in enumerate(now.text("position_id").tolist())}
    of_now = np.array([rows.get(text, -1) for text in position.tolist()], dtype=np.int64)
    before, after = then.text("revision"), np.append(now.text("revision"), "")[of_now]
    at = np.flatnonzero((of_now >= 0) & (before != after))
    if not len(at):
        return no_findings()
    changed: list[list[str]] = [[] for _ in at]
    for column in JUDGED_COLUMNS:
        differs = _differs(then, at, now, of_now[at], column)
        for place in np.flatnonzero(differs).tolist():
            changed[place].append(_plain(column))
    moved = [place for place, names in enumerate(changed) if names]
    notes = [
        f"revision {before[at[place]]} at the run, now {after[at[place]]} changes "
        + ", ".join(changed[place])
        if before[at[place]] else ""
        for place in moved
    ]  # fmt: skip
    return other_findings(
        then.text("pile_id")[at[moved]], REVISION_AT_RUN, "noted", notes, "schedule",
        run=last_run_no[at[moved]],
    )  # fmt: skip


def _differs(then: Columns, at: Array, now: Columns, of_now: Array, column: str) -> Mask:
    """Whether rows of ``then`` and ``now`` differ in a column; what is missing in both does not."""
    if column in _TEXTS:
        differs: Mask = then.text(column)[at] != now.text(column)[of_now]
        return differs
    before, after = then.numbers(column)[at], now.numbers(column)[of_now]
    changed: Mask = (before != after) & ~(np.isnan(before) & np.isnan(after))
    return changed


def _plain(column: str) -> str:
    stem, _, unit = column.rpartition("_")
    return (stem if unit in ("nm", "mm", "m", "deg", "kn") else column).replace("_", " ")


PILE_NOT_ON_SCHEDULE = FindingKind(
    "pile_not_on_schedule",
    "pile not on any schedule",
    "A run for a pile whose position is on no issued schedule.",
    "AP",
    "PM",
    "a revised schedule that names the position",
)
RECORD_OF_UNKNOWN_PILE = FindingKind(
    "record_of_unknown_pile",
    "record of an unknown pile",
    "A record, such as a survey or stage record, names a pile that no schedule, pile or run has.",
    "H",
    "QC",
    "the number corrected in its file, or the schedule, pile or run that it belongs to",
    since=2,
)
POSITION_MISSING = FindingKind(
    "position_missing_from_revision",
    "position missing from the latest revision",
    "The latest revision does not list a position of an earlier one.",
    "W",
    "DES",
    "a revision that keeps or deletes the position",
)


@makes(
    PILE_NOT_ON_SCHEDULE, CRITERION_NOT_SET, POSITION_MISSING,
    of=("piles", "schedule_in_force", "schedule_rows"),
)  # fmt: skip
def schedule_findings(piles: Columns, in_force: Columns, schedule: Columns) -> Findings:
    """Piles on no schedule or of no type, and positions the latest revision is silent about.

    ``in_force``: the rows in force; ``schedule``: every row for construction.
    """
    pile_id, on_schedule = piles.text("pile_id"), piles.text("revision") != ""
    lost = np.flatnonzero(~on_schedule & (piles.numbers("runs") > 0))
    issued = set(schedule.text("position_id").tolist()) if len(lost) else set()
    notes = [
        f"position {position} is "
        + ("not in force: deleted, or not yet issued" if position in issued
           else "on no issued schedule")
        for position in piles.text("position_id")[lost].tolist()
    ]  # fmt: skip
    nowhere = other_findings(pile_id[lost], PILE_NOT_ON_SCHEDULE, "no evidence", notes, "schedule")
    typeless = np.flatnonzero(on_schedule & (piles.text("last_stage") == ""))
    marks = piles.text("pile_type")[typeless]
    unknown = other_findings(
        pile_id[typeless], CRITERION_NOT_SET, "no evidence",
        "type " + marks + " is not in project.toml", "schedule", part="type",
    )  # fmt: skip
    silent = np.flatnonzero(~in_force.is_true("in_latest"))
    missing = other_findings(
        in_force.text("position_id")[silent], POSITION_MISSING, "noted",
        "last named by revision " + in_force.text("revision")[silent], "schedule",
        subject_kind="position",
    )  # fmt: skip
    return Findings.joined([nowhere, unknown, missing])


@makes(RECORD_OF_UNKNOWN_PILE, of=("rows_without_parent",))
def unknown_pile_findings(rows: Columns) -> Findings:
    """One finding per pile that only these rows name; ``rows`` as in ``rows_by_number``."""
    notes = rows_by_number(rows, "pile_id")
    return other_findings(
        list(notes), RECORD_OF_UNKNOWN_PILE, "no evidence", list(notes.values()), "unknown"
    )


SIGN_OFF_CHANGED = FindingKind(
    "sign_off_changed",
    "sign-off changed since",
    "A result, limit, load or measured value is worse than what the sign-off was given for.",
    "AH",
    "ENG",
    "a new sign-off",
)
CRITERION_NEWER = FindingKind(
    "criterion_newer_than_sign_off",
    "criterion newer than sign-off",
    "A criterion or parameter that the settings did not have when piles were signed off.",
    "A",
    "DES",
    "the criterion set or declared not required in project.toml, and the settings recorded",
    since=2,
)
