"""What the schedule and the project ask of every pile, and its lengths and torque."""

from __future__ import annotations

from typing import Any

import pandas as pd

from core import records, words
from core.compute.measures import (
    bearing,
    calibration,
    disturbance,
    events,
    final_readings,
    loads,
    uncertainty,
)
from core.compute.measures import piles as pile_measures
from core.compute.measures import torque as torque_measures
from core.compute.selection import (
    calibration_points,
    certificates,
    ordered_runs,
    readings_of_runs,
    schedule_in_force,
)
from core.criteria import PARAMETERS
from core.flow.snapshot import Snapshot
from core.project import Project


def runs_until(snapshot: Snapshot) -> pd.DataFrame:
    """Runs in the order of the work up to the day that judges, with the day each ended."""
    on, zone = pd.Timestamp(snapshot.on), snapshot.project.tables.project.zone
    runs = snapshot.select(ordered_runs)
    runs = disturbance.with_stops(runs[runs["run_on"] <= on].reset_index(drop=True))
    runs["ended_on"] = local_day(runs["ended_at"], zone)
    return runs


def torque(
    snapshot: Snapshot, runs: pd.DataFrame, ratings: pd.DataFrame
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Frames of piles with lengths and torque, and of the profile, up to ``on``.

    ``ratings``: of the components placed, one row per pile.
    """
    on, zone = pd.Timestamp(snapshot.on), snapshot.project.tables.project.zone
    readings, points = snapshot.select(readings_of_runs), snapshot.select(calibration_points)
    readings = readings[readings["run_on"] <= on]
    read_on = local_day(readings["read_at"], zone).fillna(readings["run_on"])
    readings = final_readings.with_final_readings(readings.assign(read_on=read_on), runs)
    readings = events.with_events(readings)
    readings = calibration.with_torque(readings, snapshot.select(certificates), points)
    instruments = snapshot.project.torque_uncertainties()
    readings = uncertainty.with_uncertainty(readings, points, instruments)
    piles = _asked(snapshot, runs).merge(ratings, on="pile_id", how="left")
    with_pile = piles[piles["pile_id"].notna()]
    log = readings[~readings["of_header"]]
    reach = disturbance.reach(log, runs)
    stops = disturbance.long_stops(log, reach, with_pile)
    disturbed = disturbance.disturbed_ground(log, reach, with_pile)
    piles = piles.merge(disturbed, on="pile_id", how="left")
    happened = events.pile_events(log, with_pile)
    piles = piles.merge(happened, on="pile_id", how="left")
    last_stop = stops.sort_values("stop_from_mm").drop_duplicates("pile_id", keep="last")
    piles = piles.merge(last_stop, on="pile_id", how="left")
    with_pile = piles[piles["pile_id"].notna()]
    void = events.with_event_voids(with_pile)
    profile = torque_measures.with_standing(readings, void, reach, stops)
    for part in (
        torque_measures.torque_measures(profile, with_pile),
        torque_measures.gap_measures(profile, with_pile),
        torque_measures.toe_distances(profile, with_pile),
        final_readings.header_measures(profile, with_pile),
        torque_measures.reading_counts(profile),
        uncertainty.uncertainties(profile, with_pile),
    ):
        piles = piles.join(part, on="pile_id")
    piles = torque_measures.without_open_windows(piles)
    piles = piles.merge(pile_measures.embedments(with_pile), on="pile_id", how="left")
    piles = bearing.structural(piles.join(loads.torque_requirements(piles)))
    return piles, profile


def local_day(moments: pd.Series, zone: str) -> pd.Series:
    """Day of each moment (UTC, naive) in ``zone``."""
    local = moments.dt.tz_localize("UTC").dt.tz_convert(zone).dt.tz_localize(None)
    days: pd.Series = local.dt.normalize()
    return days


def _asked(snapshot: Snapshot, runs: pd.DataFrame) -> pd.DataFrame:
    """Every pile with what the schedule in force, its type and the project ask of it."""
    renamed = {
        "required_torque_nm": "printed_torque_nm",
        "rated_torque_nm": "schedule_rated_torque_nm",
        "duty": "scheduled_duty",
        "grouted_length_mm": "schedule_grouted_length_mm",
    }
    stages = snapshot.frame("stage_record")
    beyond = stages["stage"].map(words.STAGE_ORDER) > words.STAGE_ORDER["installing"]
    worked = pd.concat([runs["pile_id"], stages.loc[beyond, "pile_id"]])
    schedule = snapshot.select(schedule_in_force)
    piles = pile_measures.pile_list(schedule, snapshot.frame("pile"), worked)
    piles = piles.merge(schedule.rename(columns=renamed), on="position_id", how="left")
    piles = pile_measures.located(piles)
    outside = piles["scheduled_duty"].isin(records.OUTSIDE_PRODUCTION)
    piles["live"] = piles["revision"].notna() & ~outside
    piles["duty"] = piles["duty"].fillna(piles["scheduled_duty"]).fillna("production")
    piles["counted"] = ~piles["duty"].isin(records.OUTSIDE_PRODUCTION)
    project = snapshot.project
    reason = project.criteria("stop_reason")[["pile_type", "criterion_status"]]
    reason = reason.rename(columns={"criterion_status": "reason_status"})
    for table in (project.types(), parameters(project), reason):
        piles = piles.merge(table, on="pile_type", how="left")
    asked_length = piles["schedule_grouted_length_mm"].astype("float64")
    piles["grouted_length_mm"] = asked_length.fillna(piles["type_grouted_length_mm"])
    piles = piles.merge(pile_measures.pile_toes(runs), on="pile_id", how="left")
    piles["reason_required"] = piles["reason_status"].ne("not required")
    piles["runs"] = piles["runs"].fillna(0).astype(int)
    return loads.with_load_cases(piles, project.safety_factors(), project.torque_factors())


def parameters(project: Project) -> pd.DataFrame:
    """One row per pile type: the numbers and words that measures take from its criteria."""
    types = project.types()["pile_type"]
    none = pd.Series(None, types.index, dtype="object")
    taken = {
        name: project.criteria(criterion).get(field, none)
        for criterion, field, name, _ in PARAMETERS
    }
    dtypes: Any = {name: dtype for _, _, name, dtype in PARAMETERS}
    return pd.DataFrame({"pile_type": types, **taken}).astype(dtypes)
