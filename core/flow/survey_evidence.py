"""Which rows of the ledger the findings of the as-built survey rest on."""

from __future__ import annotations

import pandas as pd

from core.compute.selection import schedule_in_force
from core.flow.citing import PLACE, cited
from core.flow.measuring import Measured
from core.flow.measuring.survey import covered
from core.flow.snapshot import Snapshot


def rows_of_survey(numbers: Measured, known: Snapshot) -> list[pd.DataFrame]:
    """The judging survey and the design beside it; the runs where no survey judges yet."""
    surveys, runs = numbers.surveys, numbers.runs
    judging = surveys[surveys["judges"]]
    waiting = runs[~runs["pile_id"].isin(judging["pile_id"])]
    homes = numbers.piles[["pile_id", "position_id"]].dropna()
    design = homes.merge(known.select(schedule_in_force)[["position_id", *PLACE]], on="position_id")
    piles = known.frame("pile")
    moved = piles[piles["instructed_easting_m"].notna()]
    over = covered(known)
    against = ["plan_offset_mm", "axis_angle_deg", "head_level_difference_mm"]
    return [
        cited(judging, "survey", ["survey", *against]),
        cited(waiting, "run", ["survey", "survey_review"]),
        cited(design, "schedule", against),
        cited(moved, "pile", ["plan_offset_mm"]),
        cited(over, "stage_record", ["covered", "survey_review"]),
        cited(surveys, "survey", ["covered", "survey_review"]),
    ]
