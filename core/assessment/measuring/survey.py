"""The as-built surveys up to the day of assessment, as the tables of their subject."""

from __future__ import annotations

import numpy as np

from core.assessment.snapshot import Snapshot
from core.records.current_rows import CurrentRows
from core.subjects.survey import selection as surveyed
from core.subjects.survey import measures as of_survey
from core.subjects.tables import of_pile


def survey_tables(snapshot: Snapshot, piles: CurrentRows, of: str | None = None) -> of_survey.Pile:
    """The tables of ``piles``; ``of``: the number of the only one, whose steps are kept."""

    def own(kind: str) -> CurrentRows:
        found = snapshot.rows(kind)
        return found if of is None else of_pile(found, of)

    return of_survey.tables(
        of_survey.Inputs(
            piles=piles,
            surveys=surveyed.until(own("survey"), "surveyed_on", snapshot.on),
            pile_records=own("pile"),
            runs=surveyed.until(own("run"), "run_on", snapshot.on),
            covered=surveyed.covered_heads(own("stage_record"), snapshot.on),
            stages=_stages(snapshot),
            on=np.datetime64(snapshot.on, "us"),
        ),
        traced=of is not None,
    )


def _stages(snapshot: Snapshot) -> surveyed.Stages:
    criteria = snapshot.project.criteria("survey_recorded").reindex(columns=["pile_type", "stages"])
    pairs = zip(criteria["pile_type"], criteria["stages"], strict=True)
    return {name: stages for name, stages in pairs if isinstance(stages, tuple)}
