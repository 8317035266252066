"""Which rows of the ledger the measures of the as-built survey rest on."""

from __future__ import annotations

import pandas as pd

from core.compute.selection import schedule_in_force
from core.flow.cited_rows import PLACE, Cited, of_frame
from core.flow.measuring import Measured
from core.flow.measuring.survey import covered
from core.flow.snapshot import Snapshot


def rows_of_survey(numbers: Measured, known: Snapshot) -> list[Cited]:
    """The judging survey and the design beside it; the runs where no survey judges yet."""
    surveys, runs = numbers.surveys, numbers.runs
    judging = surveys[surveys["judges"]]

    def waiting() -> pd.DataFrame:
        return runs[~runs["pile_id"].isin(judging["pile_id"])]

    def design() -> pd.DataFrame:
        homes = numbers.piles[["pile_id", "position_id"]].dropna()
        schedule = known.select(schedule_in_force)[["position_id", *PLACE]]
        return homes.merge(schedule, on="position_id")

    def moved() -> pd.DataFrame:
        piles = known.frame("pile")
        return piles[piles["instructed_easting_m"].notna()]

    against = ["plan_offset_mm", "axis_angle_deg", "head_level_difference_mm"]
    return [
        of_frame("survey", ["survey", *against], lambda: judging),
        of_frame("run", ["survey", "survey_review"], waiting),
        of_frame("schedule", against, design),
        of_frame("pile", ["plan_offset_mm"], moved),
        of_frame("stage_record", ["covered", "survey_review"], lambda: covered(known)),
        of_frame("survey", ["covered", "survey_review"], lambda: surveys),
    ]
