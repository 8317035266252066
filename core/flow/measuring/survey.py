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
    surveys = survey_measures.counting_surveys(surveys, piles)
    surveys = survey_measures.with_judging(survey_measures.with_deviations(surveys, piles))
    return piles.merge(survey_measures.survey_measures(surveys), on="pile_id", how="left"), surveys
