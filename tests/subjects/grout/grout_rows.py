"""Small jobs of grout as tables: only what a test says differs from a plain grouted pile."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd

from core import records
from core.records.current_rows import CurrentRows
from core.subjects.grout import selection
from core.subjects.grout.measures import Inputs, tables

DAY = pd.Timestamp("2026-03-02")
ON = pd.Timestamp("2026-04-10")
DAY_US = 86_400_000_000
OF_RUN = ("toe_mm", "first_disc_depth_mm", "predrilled_length_mm")


def grouted_piles(*changed):
    """Piles P1, P2 … with a disc of 200 mm on a tube of 88.9 mm that enters at 0.5 m."""
    base = {
        "pile_type": "T1",
        "section": "S1",
        "toe_mm": np.nan,
        "grout_from": "first disc",
        "first_disc_depth_mm": 500.0,
        "schedule_grouted_length_mm": np.nan,
        "type_grouted_length_mm": np.nan,
        "disc_mm": 200.0,
        "predrilled_diameter_mm": np.nan,
        "predrilled_length_mm": np.nan,
        "shape": "tube",
        "outside_diameter_mm": 88.9,
        "wall_mm": 6.0,
        "grouted_bore": False,
        "strength_age_days": 28.0,
        "easting_m": 100.0,
        "northing_m": 200.0,
        "neighbour_mm": 3000.0,
        "entry_no": 1,
        "sheet": "schedule",
    }
    rows = [
        {"pile_id": f"P{number}", **base, "row_no": number, **change}
        for number, change in enumerate(changed, start=1)
    ]
    texts = dict.fromkeys(
        ("pile_id", "pile_type", "section", "grout_from", "shape", "sheet"), "str"
    )
    return pd.DataFrame(rows, columns=["pile_id", *base, "row_no"]).astype(
        {**texts, "grouted_bore": "bool"}
    )


def placement_frame(*rows):
    """Placements of run 1 of pile P1 on 2 March unless said otherwise; batched_l is the net."""
    base = {"pile_id": "P1", "run_no": "1", "batch_id": "B1"}
    base |= {"left_l": 0, "spilled_l": 0, "returned_l": 0, "batched_l": 30}
    given = [{"lift_no": str(number), **base, **row} for number, row in enumerate(rows, start=1)]
    order = [row.pop("run_order", int(row["run_no"])) for row in given]
    days = [pd.Timestamp(row.pop("run_on", DAY)) for row in given]
    frame = records.typed(pd.DataFrame(given), records.KIND["grout_placement"].columns)
    frame = frame.assign(run_order=order, run_on=days, entry_no=1, sheet="")
    frame["run_on"] = frame["run_on"].astype("datetime64[us]")
    return frame.assign(row_no=range(1, len(frame) + 1))


def runs_of(piles, placements):
    """One run for each that the placements name, and run 1 of every pile, with its depths."""
    named = pd.concat([placements[["pile_id", "run_no"]],
                       piles[["pile_id"]].assign(run_no="1")]).drop_duplicates()  # fmt: skip
    runs = named.merge(piles[["pile_id", *OF_RUN]], on="pile_id")
    runs = runs.sort_values(["pile_id", "run_no"], kind="stable", ignore_index=True)
    return run_frame(*runs.to_dict("records"))


def run_frame(*rows):
    """Runs of pile P1 on 2 March unless said otherwise, in the order of the work."""
    given = [{"pile_id": "P1", "run_no": "1", "run_on": DAY, **row} for row in rows]
    frame = records.typed(pd.DataFrame(given), records.KIND["run"].columns)
    order = range(1, len(frame) + 1)
    return frame.assign(entry_no=1, row_no=order, run_order=order, sheet="")


def kind_frame(kind, *rows):
    """Rows of a record kind, typed, with their place."""
    if not rows:
        return CurrentRows.none(records.KIND[kind]).frame()
    frame = records.typed(pd.DataFrame(list(rows)), records.KIND[kind].columns)
    return frame.assign(entry_no=1, sheet="", row_no=range(1, len(frame) + 1))


def day_bounds(days):
    """The bounds of each day in microseconds, on a site whose zone is UTC."""
    begins = selection.microseconds(days)
    return begins, begins + DAY_US


def inputs(placements, piles, runs=None, on=ON, **frames):
    """The rows of a job; ``frames``: other record kinds by name."""
    runs = runs_of(piles, placements) if runs is None else runs
    of_runs, placed = CurrentRows.of_frame(runs), CurrentRows.of_frame(placements)
    found = {
        "batches": kind_frame("grout_batch"),
        "specimens": kind_frame("grout_specimen"),
        "members": kind_frame("sample_group_member"),
        "readings": kind_frame("torque_reading"),
        **frames,
    }
    return Inputs(
        piles=CurrentRows.of_frame(piles),
        runs=of_runs,
        placements=placed,
        run_days=day_bounds(of_runs.values("run_on")),
        placement_days=day_bounds(selection.placed_on(placed)),
        on=np.datetime64(on, "us"),
        **{name: CurrentRows.of_frame(frame) for name, frame in found.items()},
    )


def grout(*rows, traced=False, **pile):
    """The tables of pile P1 with its placements."""
    return tables(inputs(placement_frame(*rows), grouted_piles(pile)), traced)


def without_placements(job):
    """The same job before anything was placed."""
    none = np.zeros(len(job.placements), dtype=bool)
    bounds = tuple(one[none] for one in job.placement_days)
    return replace(job, placements=job.placements.where(none), placement_days=bounds)


def measures(pile):
    """The measures of the first pile by name, texts as text."""
    found = {name: getattr(values, "values", values) for name, values in pile.columns()}
    return {name: (one.array() if hasattr(one, "array") else one)[0] for name, one in found.items()}
