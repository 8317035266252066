"""Rules of the pile and its schedule: embedment, stopping, disturbed ground, revisions."""

from __future__ import annotations

import numpy as np
import pandas as pd

from core.judge.findings import Cases, Outcome, Rule, at_least, other_findings, outcome

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


def embedment(cases: Cases) -> Outcome:
    """Embedment by the measure the criterion names against the schedule's least embedment."""
    measured, limit = cases["embedment_mm"], cases["min_embedment_mm"].astype(float)
    result = outcome(cases, at_least(measured, limit), measured, limit, cases["measure"])
    result.loc[limit.isna(), "note"] = "the schedule prints no least embedment"
    result.loc[measured.isna(), "note"] = "a level, the toe or the failure surface is not recorded"
    return result


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
    result["note"] = given
    result.loc[given.isna(), ["result", "note"]] = ["no evidence", "no reason is recorded"]
    waiting = given.eq("end of shift") & cases["stage"].eq("stopped")
    result.loc[waiting, "result"] = "not yet due"
    return result


def disturbed_ground(cases: Cases) -> Outcome:
    """New penetration below the toe at which reverse turning or re-advance disturbed the ground."""
    disturbed = cases["disturbed_toe_mm"].notna()
    measured = cases["toe_mm"] - cases["disturbed_toe_mm"]
    limit = cases["void_to_mm"] - cases["disturbed_toe_mm"]
    result = outcome(cases, at_least(measured, limit), measured, limit)
    result.loc[~disturbed, "result"] = "met"
    result.loc[~disturbed, "note"] = "no reverse turning and no re-advance on record"
    return result


def penetration_after_stop(cases: Cases) -> Outcome:
    """New penetration after a stop longer than the project's hours."""
    stopped = cases["stop_from_mm"].notna()
    measured = cases["toe_mm"] - cases["stop_from_mm"]
    limit = cases["stop_to_mm"] - cases["stop_from_mm"]
    result = outcome(cases, at_least(measured, limit), measured, limit)
    result.loc[~stopped, "result"] = "met"
    result.loc[~stopped, "note"] = "no longer stop on record"
    return result


RULES: tuple[Rule, ...] = (
    Rule("embedment", "embedment", embedment, "embedment_mm", "at least", "embedment_mm"),
    Rule("reason for stopping", "stop_reason", stop_reason, "stop_reason"),
    Rule("disturbed ground", "disturbed_ground", disturbed_ground, "disturbed_toe_mm",
         "at least", "toe_mm"),
    Rule("penetration after a stop", "penetration_after_stop", penetration_after_stop,
         "stop_from_mm", "at least", "toe_mm"),
)  # fmt: skip


def revision_findings(then: pd.DataFrame, judging: pd.DataFrame) -> pd.DataFrame:
    """Findings about the revision on the day of each pile's last run.

    ``then``: per pile its last run's run_on and schedule_revision beside the row for construction
    in force that day, empty when none was; ``judging``: the rows in force on the judging day.
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
        pairs.loc[moved, "pile_id"], "schedule revision at the run", "noted", note[moved],
        "schedule",
    )  # fmt: skip
    none = then["revision"].isna() & then["on_schedule"]
    given = then["schedule_revision"]
    old = given.notna() & then["revision"].notna() & given.ne(then["revision"])
    asked = "the crew worked to " + given + "; in force that day: " + then["revision"]
    asked = asked.mask(none, "no revision for construction was in force on the day of the run")
    wrong = old | none
    worked = other_findings(
        then.loc[wrong, "pile_id"], "revision worked to", "not met", asked[wrong], "schedule"
    )
    return pd.concat([informed, worked], ignore_index=True)


def _plain(column: str) -> str:
    stem, _, unit = column.rpartition("_")
    return (stem if unit in ("nm", "mm", "m", "deg", "kn") else column).replace("_", " ")


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
    nowhere = other_findings(
        lost["pile_id"], "pile not on any schedule", "no evidence", note, "schedule"
    )
    typeless = piles.loc[piles["pile_id"].notna() & piles["revision"].notna()]
    typeless = typeless[typeless["last_stage"].isna()]
    told = "type " + typeless["pile_type"] + " is not in project.toml"
    unknown = other_findings(
        typeless["pile_id"], "criterion not set", "no evidence", told, "schedule"
    )
    silent = judging.loc[~judging["in_latest"].astype(bool)]
    text = "last named by revision " + silent["revision"]
    missing = other_findings(
        silent["position_id"],
        "position missing from the latest revision",
        "noted",
        text,
        "schedule",
        subject_kind="position",
    )
    return pd.concat([nowhere, unknown, missing], ignore_index=True)


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
    found = other_findings(open_["pile_id"], "run not closed", "noted", note, "open_run")
    gone = past.ne("").to_numpy(dtype=bool)
    return found.assign(result=np.where(gone, "no evidence", "noted"))


def orphan_findings(readings: pd.DataFrame) -> pd.DataFrame:
    """Readings that stand although their run no longer does."""
    note = readings["readings"].astype("str") + " readings of run " + readings["run_no"]
    return other_findings(
        readings["pile_id"], "readings without a run", "no evidence", note, "lost"
    )


def pressure_kind_findings(not_asked: pd.DataFrame) -> pd.DataFrame:
    """One *noted* finding per instrument whose pressures are of a kind that nobody recorded.

    ``not_asked``: instrument_id with the number of its ``readings`` and ``points`` without a kind.
    """
    count = not_asked["readings"].astype(int).astype(str) + " readings and "
    count += not_asked["points"].astype(int).astype(str) + " calibration points"
    note = count + " do not record whether the pressure is differential or line; not asked when "
    return other_findings(
        not_asked["instrument_id"],
        "pressure kind not asked",
        "noted",
        note + "they were imported, they count as differential",
        "pressure_kind",
        subject_kind="instrument",
    )


def instrument_findings(profile: pd.DataFrame) -> pd.DataFrame:
    """One finding per instrument: whether every reading it gave was covered by a certificate."""
    taken = profile[profile["instrument_id"].ne("")]
    late = (~taken["in_force"]).groupby(taken["instrument_id"]).sum()
    names = late.index.to_series()
    covered = other_findings(
        names[late.eq(0)], "calibration in force", "met", subject_kind="instrument"
    )
    count = late[late > 0].astype(int).astype(str) + " readings while no certificate was in force"
    open_ = other_findings(
        names[late > 0], "calibration in force", "no evidence", count,
        "readings_out_of_force", subject_kind="instrument",
    )  # fmt: skip
    return pd.concat([covered, open_], ignore_index=True)
