"""Grout of every pile up to the day that judges: lifts, specimens and the measures they give."""

from __future__ import annotations

import pandas as pd

from core.compute.measures import batches, fresh_grout, lift_gaps
from core.compute.measures import grout as measures
from core.compute.measures import specimens as sampling
from core.compute.selection import grout_placements, readings_of_runs
from core.flow.snapshot import Snapshot


def placements_until(snapshot: Snapshot) -> pd.DataFrame:
    """Placements of standing runs up to the day that judges, with the bounds of their day."""
    placements = snapshot.select(grout_placements)
    placed = placements["placed_on"].fillna(placements["run_on"])
    known = placements["run_order"].notna() & (placed <= pd.Timestamp(snapshot.on))
    kept = placements[known].reset_index(drop=True)
    return _within_day(kept, placed[known].reset_index(drop=True), snapshot)


def batches_until(snapshot: Snapshot) -> pd.DataFrame:
    """Batches mixed up to the day that judges."""
    mixed = snapshot.frame("grout_batch")
    return mixed[mixed["mixed_on"] <= pd.Timestamp(snapshot.on)].reset_index(drop=True)


def placed(snapshot: Snapshot, piles: pd.DataFrame) -> pd.DataFrame:
    """Placements until the day that judges, in toe depths, with the numbers of their batch."""
    placements = measures.in_toe_depths(placements_until(snapshot), piles)
    return batches.with_batches(placements, snapshot.frame("grout_batch"))


def lifts(placed: pd.DataFrame, piles: pd.DataFrame) -> pd.DataFrame:
    """One row per lift of every pile."""
    return measures.lifts(placed, piles[piles["pile_id"].notna()])


def specimens(snapshot: Snapshot) -> pd.DataFrame:
    """One row per specimen."""
    members = snapshot.frame("sample_group_member")
    return sampling.specimens(snapshot.frame("grout_specimen"), members, pd.Timestamp(snapshot.on))


def with_grout(
    snapshot: Snapshot,
    piles: pd.DataFrame,
    runs: pd.DataFrame,
    placed: pd.DataFrame,
    lifts: pd.DataFrame,
    found: pd.DataFrame,
) -> pd.DataFrame:
    """``piles`` with the measures of their grout: ``placed``, ``lifts`` and ``found`` specimens."""
    with_pile, on = piles[piles["pile_id"].notna()], pd.Timestamp(snapshot.on)
    members = snapshot.frame("sample_group_member")
    timed = _within_day(runs, runs["run_on"], snapshot)
    for part in (
        measures.take_measures(lifts, with_pile),
        measures.level_measures(lifts),
        lift_gaps.gap_measures(placed, with_pile),
        batches.batch_measures(placed),
        sampling.sampling_measures(found, members, placed),
        sampling.strength_measures(found, members, with_pile, on),
        fresh_grout.turned_again(timed, _readings(snapshot), placed),
        fresh_grout.fresh_neighbours(with_pile, timed, placed),
    ):
        piles = piles.join(part, on="pile_id")
    return piles


def _readings(snapshot: Snapshot) -> pd.DataFrame:
    readings = snapshot.select(readings_of_runs)
    return readings[readings["run_on"] <= pd.Timestamp(snapshot.on)]


def _within_day(rows: pd.DataFrame, days: pd.Series, snapshot: Snapshot) -> pd.DataFrame:
    """``rows`` with the moments in UTC at which their day begins and ends on the site."""
    zone = snapshot.project.tables.project.zone
    ends = days + pd.Timedelta(days=1)
    return rows.assign(day_begins_at=_in_utc(days, zone), day_ends_at=_in_utc(ends, zone))


def _in_utc(days: pd.Series, zone: str) -> pd.Series:
    local = days.dt.tz_localize(zone, ambiguous=True, nonexistent="shift_forward")
    moments: pd.Series = local.dt.tz_convert("UTC").dt.tz_localize(None)
    return moments
