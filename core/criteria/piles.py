# mypy: disable-error-code="no-any-return,arg-type,unused-ignore"
"""Criteria of the pile and findings about its schedule, runs and numbers."""

from __future__ import annotations

from typing import Annotated, Literal

import numpy as np
import pandas as pd
from pydantic import Field

from core import records
from core.criteria.as_frames import Cases, Outcome, at_least, other_findings, outcome
from core.criteria.base import Criterion, Feeds
from core.criteria.kinds import FindingKind, finding, makes
from core.criteria.settings import CRITERION_NOT_SET

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
    """Which length the schedule's least embedment is compared with."""

    after = "rated_torque"

    measure: Annotated[
        Literal["along the axis", "vertical cover over the top helix", "beyond a failure surface"],
        Feeds("embedment_measure"),
    ]

    @finding(
        "embedment",
        "embedment",
        "Embedment by the project's measure against the least embedment.",
        blocks="AC",
        owner="DES",
        clears="a deeper run, a replacement or a concession",
        measure="embedment_mm",
        sense="at least",
        unit_column="embedment_mm",
    )
    @staticmethod
    def embedment(cases: Cases) -> Outcome:
        """Embedment by the measure the criterion names against the schedule's least embedment."""
        measured, limit = cases["embedment_mm"], cases["min_embedment_mm"].astype(float)
        result = outcome(cases, at_least(measured, limit), measured, limit, cases["measure"])
        result.loc[limit.isna(), "note"] = "the schedule prints no least embedment"
        result.loc[measured.isna(), "note"] = (
            "a level, the toe or the failure surface is not recorded"
        )
        return result


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
        owner="DES",
        clears="an instruction, a further run or a replacement",
        measure="stop_reason",
    )
    @staticmethod
    def stop_reason(cases: Cases) -> Outcome:
        """The last run's reason for stopping is one that needs no decision, whatever the torque."""
        given = cases["stop_reason"]
        accepted = pd.Series(
            [
                reason in reasons if isinstance(reason, str) else False
                for reason, reasons in zip(given, cases["accepted_reasons"], strict=True)
            ],
            index=cases.index,
        )
        result = pd.DataFrame({"measured": np.nan, "limit_value": np.nan}, index=cases.index)
        result["result"] = np.where(accepted, "met", "not met")
        result["note"], result["run"] = given, cases["last_run_no"]
        result.loc[given.isna(), ["result", "note"]] = ["no evidence", "no reason is recorded"]
        waiting = given.eq("end of shift") & cases["stage"].eq("stopped")
        result.loc[waiting, "result"] = "not yet due"
        return result


class DisturbedGround(Criterion):
    """How far below an earlier toe torque counts again, in largest helix diameters."""

    after = "torque_factor"

    largest_helix_multiple: Annotated[float, Field(gt=0), Feeds("disturbed_multiple")] = Field(
        description="of the new penetration, in largest helix diameters", examples=[3]
    )

    @finding(
        "disturbed_ground",
        "disturbed ground",
        "Penetration after reverse turning or re-advance, which voids torque until it is reached.",
        blocks="AC",
        owner="DES",
        clears="a deeper run or the engineer's decision",
        measure="disturbed_toe_mm",
        sense="at least",
        unit_column="toe_mm",
    )
    @staticmethod
    def disturbed_ground(cases: Cases) -> Outcome:
        """New penetration below the toe at which the ground was disturbed."""
        disturbed = cases["disturbed_toe_mm"].notna()
        measured = cases["toe_mm"] - cases["disturbed_toe_mm"]
        limit = cases["void_to_mm"] - cases["disturbed_toe_mm"]
        result = outcome(cases, at_least(measured, limit), measured, limit)
        result.loc[~disturbed, "result"] = "met"
        result.loc[~disturbed, "note"] = "no reverse turning and no re-advance on record"
        return result


class PenetrationAfterStop(Criterion):
    """After how long a stop, how much new penetration is needed before readings count."""

    after = "disturbed_ground"

    stop_h: Annotated[float, Field(gt=0), Feeds("stop_h")] = Field(
        description="a longer stop needs new penetration", examples=["4 h"]
    )
    largest_helix_multiple: Annotated[float, Field(gt=0), Feeds("stop_multiple")] = Field(
        description="of the new penetration, in largest helix diameters", examples=[1]
    )

    @finding(
        "penetration_after_stop",
        "penetration after a stop",
        "New penetration after a long stop, before which readings do not count.",
        blocks="A",
        owner="FM",
        clears="a deeper run or the engineer's decision",
        measure="stop_from_mm",
        sense="at least",
        unit_column="toe_mm",
    )
    @staticmethod
    def penetration_after_stop(cases: Cases) -> Outcome:
        """New penetration after a stop longer than the project's hours."""
        stopped = cases["stop_from_mm"].notna()
        measured = cases["toe_mm"] - cases["stop_from_mm"]
        limit = cases["stop_to_mm"] - cases["stop_from_mm"]
        result = outcome(cases, at_least(measured, limit), measured, limit)
        result.loc[~stopped, "result"] = "met"
        result.loc[~stopped, "note"] = "no longer stop on record"
        return result


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
def open_run_findings(runs: pd.DataFrame, after: pd.DataFrame) -> pd.DataFrame:
    """Runs with readings and no toe depth or reason for stopping, one finding per run.

    *Noted* while the pile is being driven; *no evidence* once work went past the run: ``after``
    it, or by a later run that ended other than with the shift. A later run does not close an
    earlier one, whose toe nobody recorded. ``runs``: with closed, open_run and lacks.
    """
    last = runs.groupby("pile_id", sort=False)[["run_no", "closed", "stop_reason"]].tail(1)
    last = last.join(runs["pile_id"])
    ended = last[last["closed"] & last["stop_reason"].ne("end of shift")]
    works = after.groupby("pile_id")["work"].agg(", ".join)
    open_ = runs[runs["open_run"]]
    past = open_["pile_id"].map(works).astype("str")
    past = past.fillna("a later run ended").where(
        past.notna() | open_["pile_id"].isin(ended["pile_id"]), ""
    )
    note = "run " + open_["run_no"] + ": " + open_["lacks"]
    note = note.where(past.eq(""), note + "; since then: " + past)
    found = other_findings(
        open_["pile_id"], RUN_NOT_CLOSED, "noted", note, "open_run", run=open_["run_no"]
    )
    gone = past.ne("").to_numpy(dtype=bool)
    return found.assign(result=np.where(gone, "no evidence", "noted"))


REVISION_AT_RUN = FindingKind(
    "schedule_revision_at_run",
    "schedule revision at the run",
    "What the schedule asked on the day of the run against what it asks now.",
    "H",
    "DES",
    "the engineer's confirmation that the later revision stands",
)
REVISION_WORKED_TO = FindingKind(
    "revision_worked_to",
    "revision worked to",
    "The revision the crew worked to against the one in force on the day of the run.",
    "A",
    "DES",
    "the engineer's confirmation",
)


@makes(REVISION_AT_RUN, REVISION_WORKED_TO, of=("schedule_at_runs", "schedule_in_force"))
def revision_findings(then: pd.DataFrame, judging: pd.DataFrame) -> pd.DataFrame:
    """Findings about the revision on the day of each pile's last run.

    ``then``: per pile its last run's number, day and schedule_revision beside the row for
    construction in force that day, empty when none was; ``judging``: the rows in force on the
    day of assessment.
    """
    pairs = then.merge(judging, on="position_id", suffixes=("_then", "_now"))
    changed = pd.Series("", index=pairs.index)
    for column in JUDGED_COLUMNS:
        before, now = pairs[f"{column}_then"], pairs[f"{column}_now"]
        differs = before.ne(now) & ~(before.isna() & now.isna())
        changed = changed.where(~differs, changed + ", " + _plain(column))
    moved = changed.ne("")
    text = "revision " + pairs["revision_then"] + " at the run, now " + pairs["revision_now"]
    note = text + " changes " + changed.str.removeprefix(", ")
    informed = other_findings(
        pairs.loc[moved, "pile_id"], REVISION_AT_RUN, "noted", note[moved],
        "schedule", run=pairs.loc[moved, "last_run_no"],
    )  # fmt: skip
    none = then["revision"].isna() & then["on_schedule"]
    given = then["schedule_revision"]
    old = given.notna() & then["revision"].notna() & given.ne(then["revision"])
    asked = "the crew worked to " + given + "; in force that day: " + then["revision"]
    asked = asked.mask(none, "no revision for construction was in force on the day of the run")
    wrong = old | none
    worked = other_findings(
        then.loc[wrong, "pile_id"],
        REVISION_WORKED_TO,
        "not met",
        asked[wrong],
        "schedule",
        run=then.loc[wrong, "last_run_no"],
    )
    return pd.concat([informed, worked], ignore_index=True)


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
    "The latest revision is silent about a position of an earlier one.",
    "W",
    "DES",
    "a revision that keeps or deletes the position",
)


@makes(
    PILE_NOT_ON_SCHEDULE, CRITERION_NOT_SET, POSITION_MISSING,
    of=("frame_of_piles", "schedule_in_force", "schedule_rows"),
)  # fmt: skip
def schedule_findings(
    piles: pd.DataFrame, judging: pd.DataFrame, schedule: pd.DataFrame
) -> pd.DataFrame:
    """Piles on no schedule or of no type, and positions the latest revision is silent about.

    ``judging``: the rows in force; ``schedule``: every row for construction.
    """
    lost = piles.loc[piles["pile_id"].notna() & piles["revision"].isna() & (piles["runs"] > 0)]
    deleted = lost["position_id"].isin(schedule["position_id"])
    told = deleted.map(
        {True: " is not in force: deleted, or not yet issued", False: " is on no issued schedule"}
    )
    note = "position " + lost["position_id"] + told
    nowhere = other_findings(lost["pile_id"], PILE_NOT_ON_SCHEDULE, "no evidence", note, "schedule")
    typeless = piles.loc[piles["pile_id"].notna() & piles["revision"].notna()]
    typeless = typeless[typeless["last_stage"].isna()]
    told = "type " + typeless["pile_type"] + " is not in project.toml"
    unknown = other_findings(
        typeless["pile_id"], CRITERION_NOT_SET, "no evidence", told, "schedule", part="type"
    )
    silent = judging.loc[~judging["in_latest"].astype(bool)]
    text = "last named by revision " + silent["revision"]
    missing = other_findings(
        silent["position_id"],
        POSITION_MISSING,
        "noted",
        text,
        "schedule",
        subject_kind="position",
    )
    return pd.concat([nowhere, unknown, missing], ignore_index=True)


@makes(RECORD_OF_UNKNOWN_PILE, of=("rows_without_parent",))
def unknown_pile_findings(rows: pd.DataFrame) -> pd.DataFrame:
    """One finding per pile that only these rows name; ``rows`` as in ``rows_by_number``."""
    named = rows_by_number(rows[rows["refers_by"].eq("pile_id")])
    return other_findings(
        named["number"], RECORD_OF_UNKNOWN_PILE, "no evidence", named["note"], "unknown"
    )


def rows_by_number(rows: pd.DataFrame) -> pd.DataFrame:
    """One row per number, with the rows that name it in words: record, file, sheet and rows.

    ``rows``: record, refers_by, number, file, sheet and row_no of rows whose parent is unknown.
    """
    keys = ["number", "record", "file", "sheet"]
    texts = rows.assign(row=rows["row_no"].astype("str")).groupby(keys, sort=False)["row"]
    listed = texts.agg(", ".join).reset_index()
    word = listed["record"].map({name: kind.word for name, kind in records.KIND.items()})
    sheet = (" sheet " + listed["sheet"]).where(listed["sheet"].ne(""), "")
    listed["note"] = word + ": " + listed["file"] + sheet + " row " + listed["row"]
    return listed.groupby("number", sort=False)["note"].agg("; ".join).reset_index()


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
