"""What the schedule and the project ask of every pile, and its lengths and torque."""

from __future__ import annotations

import numpy as np
import pandas as pd

from core.compute.selection import (
    calibration_points,
    certificates,
    ordered_runs,
    readings_of_runs,
)
from core.flow.measuring.piles import pile_frame, pile_rows, runs_of_piles, with_lengths
from core.flow.snapshot import Snapshot
from core.project import Project
from core.records.current_rows import CurrentRows
from core.subjects import torque as subject
from core.subjects.frames import frame_of
from core.subjects.tables import of_pile
from core.subjects.torque import PILE_COLUMNS, Inputs, Torque


def runs_until(snapshot: Snapshot) -> pd.DataFrame:
    """Runs in the order of the work up to the day that judges, with the day each ended."""
    time_zone = snapshot.project.tables.project.zone
    rows = subject.runs_until(snapshot.chosen(ordered_runs), snapshot.on, time_zone)
    return rows.frame().copy(deep=False)


def torque(snapshot: Snapshot, ratings: pd.DataFrame) -> tuple[pd.DataFrame, Torque]:
    """Piles with lengths and torque, and the tables of torque, up to the day that judges.

    ``ratings``: of the components placed, one row per pile.
    """
    rows = pile_rows(snapshot)
    found = subject.tables(inputs(snapshot, rows.only(PILE_COLUMNS)))
    piles = pile_frame(rows).merge(ratings, on="pile_id", how="left")
    piles = pd.concat([piles, frame_of(dict(found.columns()))], axis=1)
    return with_lengths(piles, rows, runs_of_piles(snapshot)), found


def inputs(snapshot: Snapshot, piles: CurrentRows, of: str | None = None) -> Inputs:
    """What torque of ``piles`` is worked out from; ``of``: the number of the only one."""
    readings, runs = snapshot.chosen(readings_of_runs), snapshot.chosen(ordered_runs)
    if of is not None:
        readings, runs = of_pile(readings, of), of_pile(runs, of)
    return Inputs(
        readings=readings,
        runs=runs,
        certificates=snapshot.chosen(certificates),
        points=snapshot.chosen(calibration_points),
        instruments=_instruments(snapshot.project),
        piles=piles,
        on=snapshot.on,
        time_zone=snapshot.project.tables.project.zone,
    )


def _instruments(project: Project) -> CurrentRows:
    """How well each instrument measures, each number with its key in project.toml."""
    rows = CurrentRows.of_frame(project.torque_uncertainties())
    tables = project.tables.torque_uncertainty
    for name in rows.names:
        if name not in ("instrument_id", "source"):
            field = "accuracy_class_percent" if name == "class_share" else name
            keys = [
                f"torque_uncertainty, {one.instrument}"
                + (f": {one.as_entered(field)}" if one.is_quantity(field) else "")
                for one in tables
            ]
            rows = rows.with_text(f"{name}_key", np.arange(len(keys)), keys)
    return rows


def local_day(moments: pd.Series, time_zone: str) -> pd.Series:
    """Day of each moment (UTC, naive) in ``time_zone``."""
    return pd.Series(subject.local_day(moments.to_numpy(), time_zone), index=moments.index)
