"""The torque of every pile up to the day of assessment, as the tables of its subject."""

from __future__ import annotations

import numpy as np

from core.assessment.snapshot import Snapshot
from core.records.current_rows import CurrentRows
from core.selection import calibration_points, certificates, ordered_runs, readings_of_runs
from core.settings import Project
from core.subjects.tables import of_pile
from core.subjects.torque import tables as of_torque
from core.subjects.torque.tables import Torque


def torque_tables(snapshot: Snapshot, piles: CurrentRows, of: str | None = None) -> Torque:
    """The tables of ``piles``; ``of``: the number of the only one, whose steps are kept."""
    readings, runs = snapshot.chosen(readings_of_runs), snapshot.chosen(ordered_runs)
    if of is not None:
        readings, runs = of_pile(readings, of), of_pile(runs, of)
    inputs = of_torque.Inputs(
        readings=readings,
        runs=runs,
        certificates=snapshot.chosen(certificates),
        points=snapshot.chosen(calibration_points),
        instruments=_instruments(snapshot.project),
        piles=piles,
        on=snapshot.on,
        time_zone=snapshot.project.tables.project.time_zone,
    )
    return of_torque.tables(inputs, traced=of is not None)


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
