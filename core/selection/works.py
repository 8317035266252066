"""Rows of grout, steel and the survey with the run that they belong to."""

from __future__ import annotations

import numpy as np

from core.records.current_rows import PLACE, Array, CurrentRows
from core.selection.matching import places_of
from core.selection.order import ordered_runs, plain_ranks, ranks, sorted_by
from core.selection.torque import RUN


def grout_placements(grout_placement: CurrentRows, run: CurrentRows) -> CurrentRows:
    """One row is what one batch gave to one lift of one run, with the run's day and order.

    A pile's lifts come in the order of the work; ``run_order`` is empty without a run.
    """
    rows = _with_run(grout_placement, run)
    lift = (rows.values("from_mm"), ranks(rows, "lift_no"), plain_ranks(rows, "batch_id"))
    return sorted_by(rows, _run_order(rows), plain_ranks(rows, "pile_id"), *lift)


def components_placed(component_placed: CurrentRows, run: CurrentRows) -> CurrentRows:
    """One row is one place in the string of one run, from the toe up, with its day and order."""
    rows = _with_run(component_placed, run)
    of_run = (plain_ranks(rows, "pile_id"), plain_ranks(rows, "run_no"))
    return sorted_by(rows, _run_order(rows), *of_run, rows.values("place"))


def quarantines(quarantine: CurrentRows) -> CurrentRows:
    """One row is one heat that is in quarantine."""
    return quarantine.where(quarantine.is_text("quarantine_status", "in quarantine"))


def _with_run(rows: CurrentRows, run: CurrentRows) -> CurrentRows:
    runs = ordered_runs(run)
    of_run = runs.take(places_of(rows, RUN, runs, RUN))
    own = [name for name in rows.names if name not in PLACE]
    return rows.only(own).beside(of_run, ["run_on", "run_order"]).beside(rows, PLACE)


def _run_order(rows: CurrentRows) -> Array:
    order = rows.values("run_order").astype(float)
    return np.where(np.isnan(order), np.inf, order)
