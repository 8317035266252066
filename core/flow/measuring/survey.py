"""The as-built surveys up to the day that judges, and what the judging one says of each pile."""

from __future__ import annotations

import pandas as pd

from core.compute.measures import survey as survey_measures
from core.flow.facts import Facts


def survey(facts: Facts, piles: pd.DataFrame) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Frames of piles with the numbers of their judging survey, and of every survey."""
    criteria = facts.project.criteria("survey_recorded").reindex(columns=["pile_type", "stages"])
    piles = piles.merge(
        criteria.rename(columns={"stages": "survey_stages"}), on="pile_type", how="left"
    )
    surveys = facts.works.surveys
    surveys = surveys[surveys["surveyed_on"] <= pd.Timestamp(facts.on)].reset_index(drop=True)
    later = surveys["reviewed_on"] > pd.Timestamp(facts.on)  # a review of which nobody knew yet
    surveys = surveys.assign(
        reviewed_by=surveys["reviewed_by"].mask(later),
        reviewed_on=surveys["reviewed_on"].mask(later),
    )
    surveys = survey_measures.counting_surveys(surveys, piles)
    surveys = survey_measures.with_judging(survey_measures.with_deviations(surveys, piles))
    over = survey_measures.reviews_at_covering(surveys, covered(facts))
    for part in (survey_measures.survey_measures(surveys), over):
        piles = piles.merge(part, on="pile_id", how="left")
    return piles, surveys


def covered(facts: Facts) -> pd.DataFrame:
    """Stage records of heads that concrete covers, up to the day that judges."""
    stages = facts.stage_records
    until = stages["stage_on"] <= pd.Timestamp(facts.on)
    return stages[stages["stage"].eq("concreted over") & until]
