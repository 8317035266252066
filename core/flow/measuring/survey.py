"""The as-built surveys up to the day that judges, and what the judging one says of each pile."""

from __future__ import annotations

import pandas as pd

from core.compute.measures import survey as survey_measures
from core.flow.snapshot import Snapshot


def survey(snapshot: Snapshot, piles: pd.DataFrame) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Frames of piles with the numbers of their judging survey, and of every survey."""
    criteria = snapshot.project.criteria("survey_recorded").reindex(columns=["pile_type", "stages"])
    piles = piles.merge(
        criteria.rename(columns={"stages": "survey_stages"}), on="pile_type", how="left"
    )
    surveys = snapshot.frame("survey")
    surveys = surveys[surveys["surveyed_on"] <= pd.Timestamp(snapshot.on)].reset_index(drop=True)
    later = surveys["reviewed_on"] > pd.Timestamp(snapshot.on)  # a review of which nobody knew yet
    surveys = surveys.assign(
        reviewed_by=surveys["reviewed_by"].mask(later),
        reviewed_on=surveys["reviewed_on"].mask(later),
    )
    surveys = survey_measures.counting_surveys(surveys, piles)
    surveys = survey_measures.with_judging(survey_measures.with_deviations(surveys, piles))
    over = survey_measures.reviews_at_covering(surveys, covered(snapshot))
    for part in (survey_measures.survey_measures(surveys), over):
        piles = piles.merge(part, on="pile_id", how="left")
    return piles, surveys


def covered(snapshot: Snapshot) -> pd.DataFrame:
    """Stage records of heads that concrete covers, up to the day that judges."""
    stages = snapshot.frame("stage_record")
    until = stages["stage_on"] <= pd.Timestamp(snapshot.on)
    return stages[stages["stage"].eq("concreted over") & until]
