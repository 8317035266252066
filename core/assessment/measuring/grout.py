"""Grout of every pile up to the day of assessment, as the tables of its subject."""

from __future__ import annotations

import numpy as np
import pandas as pd

from core.assessment.snapshot import Snapshot
from core.records.current_rows import CurrentRows
from core.selection import grout_placements, ordered_runs, readings_of_runs
from core.subjects.columns import Values
from core.subjects.frames import frame_of, frame_of_table
from core.subjects.grout import selection as placed
from core.subjects.grout.lifts import VOLUMES, lift_names
from core.subjects.grout import measures as of_grout
from core.subjects.tables import of_pile

_OF_FIRST = ("pile_id", "run_no", "lift_no", "run_order", "entry_no", "sheet", "row_no")
LIFT = [
    "pile_id", "run_no", "lift_no", "run_order", "from_mm", "to_mm", "depths_of",
    "written_from_mm", "written_to_mm", "batched_l", "left_l", "spilled_l", "returned_l",
    "resolution_l", "how_measured", "placed_on", "started_at", "ended_at", "level_drop_mm",
    "topped_up_l", "pressure_kpa", "placements", "batches", "entry_no", "sheet", "row_no", "net_l",
    "cumulative_void_l", "void_l", "cumulative_net_l", "take_ratio", "cumulative_ratio", "missing",
]  # fmt: skip


def grout_tables(snapshot: Snapshot, piles: CurrentRows, of: str | None = None) -> of_grout.Pile:
    """The tables of ``piles``; ``of``: the number of the only one, whose steps are kept."""

    def own(rows: CurrentRows) -> CurrentRows:
        return rows if of is None else of_pile(rows, of)

    on, zone = np.datetime64(snapshot.on, "us"), snapshot.project.tables.project.time_zone
    runs = placed.until(own(snapshot.chosen(ordered_runs)), "run_on", on)
    placements = placed.placements_until(own(snapshot.chosen(grout_placements)), on)
    readings = own(snapshot.chosen(readings_of_runs).only(["pile_id", "read_at", "flag", "run_on"]))
    return of_grout.tables(
        of_grout.Inputs(
            piles=piles,
            runs=runs,
            placements=placements,
            batches=snapshot.rows("grout_batch"),
            specimens=placed.until(snapshot.rows("grout_specimen"), "taken_on", on),
            members=own(snapshot.rows("sample_group_member")),
            readings=placed.until(readings, "run_on", on),
            run_days=day_bounds(runs.values("run_on"), zone),
            placement_days=day_bounds(placed.placed_on(placements), zone),
            on=on,
        ),
        traced=of is not None,
    )


def lift_frame(grout: of_grout.Pile) -> pd.DataFrame:
    """One row per lift of every pile, in the order of the work."""
    lift = grout.lift.below
    made = frame_of_table(lift)
    return lift.rows.only(_OF_FIRST).frame().assign(**made)[LIFT]


def placed_frame(grout: of_grout.Pile) -> pd.DataFrame:
    """One row per batch of every lift, in toe depths, with the numbers of the batch."""
    placed = grout.placed.below
    made = {name: values for name, values in placed.columns() if name not in VOLUMES}
    return placed.rows.frame().assign(**frame_of(made))


def specimen_frame(grout: of_grout.Pile) -> pd.DataFrame:
    """One row per specimen, with the piles for which its group is taken."""
    specimen = grout.sampled.below.specimen
    return specimen.rows.frame().assign(**frame_of_table(specimen))


def gap_frame(grout: of_grout.Pile) -> pd.DataFrame:
    """One row per gap between the lifts of a pile, from the top down."""
    gap, names = grout.gap.below, lift_names(grout.placed.below)
    return frame_of(
        {
            "pile_id": gap.text("pile_id"),
            "gap_from_mm": gap.from_mm,
            "gap_to_mm": gap.to_mm,
            "lift_above": names.take(gap.above),
            "lift_below": names.take(gap.below),
        }
    ).fillna({"lift_above": "", "lift_below": ""})


def day_bounds(days: Values, zone: str) -> tuple[Values, Values]:
    """When each day begins and ends on the site, in UTC and microseconds."""
    each, at = np.unique(days, return_inverse=True)
    moments = pd.DatetimeIndex(np.concatenate([each, each + np.timedelta64(1, "D")]))
    local = moments.tz_localize(zone, ambiguous=True, nonexistent="shift_forward")
    found = placed.microseconds(local.tz_convert("UTC").tz_localize(None).to_numpy())
    begins, ends = np.split(found, 2)
    return begins[at], ends[at]
