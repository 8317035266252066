"""What the schedule and the project ask of every pile, and its lengths and torque."""

from __future__ import annotations

import pandas as pd

from core.compute.measures import (
    calibration,
    disturbance,
    events,
    final_readings,
    uncertainty,
)
from core.compute.measures import torque as torque_measures
from core.compute.selection import (
    calibration_points,
    certificates,
    ordered_runs,
    readings_of_runs,
)
from core.flow.measuring.piles import pile_frame, pile_rows, runs_of_piles, with_lengths
from core.flow.snapshot import Snapshot


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
    rows = pile_rows(snapshot)
    piles = pile_frame(rows).merge(ratings, on="pile_id", how="left")
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
    return with_lengths(piles, rows, runs_of_piles(snapshot)), profile


def local_day(moments: pd.Series, zone: str) -> pd.Series:
    """Day of each moment (UTC, naive) in ``zone``."""
    local = moments.dt.tz_localize("UTC").dt.tz_convert(zone).dt.tz_localize(None)
    days: pd.Series = local.dt.normalize()
    return days
