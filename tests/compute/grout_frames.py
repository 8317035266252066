"""Small typed frames of grout: only what a test says differs from a plain grouted pile."""

from __future__ import annotations

import numpy as np
import pandas as pd

from core import records
from core.compute.measures import grout

DAY = pd.Timestamp("2026-03-02")


def grouted_piles(*changed):
    """Piles P1, P2 … with a disc of 200 mm on a tube of 88.9 mm that enters at 0.5 m."""
    base = {
        "toe_mm": np.nan,
        "grout_from": "first disc",
        "first_disc_depth_mm": 500.0,
        "grouted_length_mm": np.nan,
        "disc_mm": 200.0,
        "predrilled_mm": np.nan,
        "predrilled_length_mm": np.nan,
        "shape": "tube",
        "outside_mm": 88.9,
        "wall_mm": 6.0,
        "grouted_bore": False,
        "strength_age_days": 28.0,
        "easting_m": 100.0,
        "northing_m": 200.0,
        "neighbour_mm": 3000.0,
    }
    rows = [
        {"pile_id": f"P{number}", **base, **change}
        for number, change in enumerate(changed or [{}], start=1)
    ]
    return pd.DataFrame(rows).astype({"pile_id": "str"})


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
    return within_day(frame, "run_on").assign(row_no=range(1, len(frame) + 1))


def toe_depths(*rows, **pile):
    """Placements of pile P1 in toe depths, and the pile."""
    piles = grouted_piles(pile)
    return grout.in_toe_depths(placement_frame(*rows), piles), piles


def within_day(frame, day):
    """``frame`` with the bounds of its day, on a site whose zone is UTC."""
    ends = frame[day] + pd.Timedelta(days=1)
    return frame.assign(day_begins_at=frame[day], day_ends_at=ends)
