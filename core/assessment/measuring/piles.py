"""From the ledger to piles: what the schedule in force, the project and the runs have of each."""

from __future__ import annotations

import numpy as np

from core import words
from core.assessment.snapshot import Snapshot
from core.records.current_rows import CurrentRows
from core.selection import ordered_runs, schedule_in_force
from core.subjects.piles.selection import PileRecords
from core.subjects.piles.selection import pile_rows as selected


def pile_rows(snapshot: Snapshot) -> CurrentRows:
    """Every pile and open position with what is required of it, its runs and its factors."""
    project, runs = snapshot.project, snapshot.chosen(ordered_runs)
    return selected(
        PileRecords(
            schedule=snapshot.chosen(schedule_in_force),
            piles=snapshot.rows("pile"),
            runs=runs.where(runs.values("run_on") <= np.datetime64(snapshot.on, "us")),
            stages=_beyond_installing(snapshot.rows("stage_record")),
            types=project.types,
            safety_factors=project.safety_factors,
            torque_factors=project.torque_factors,
        )
    )


def _beyond_installing(stages: CurrentRows) -> CurrentRows:
    """Stage records that show work beyond installing."""
    order = words.STAGE_ORDER
    beyond = [order.get(text, -1) > order["installing"] for text in stages.texts("stage")]
    return stages.where(np.array([*beyond, False], dtype=bool)[stages.codes("stage")])
