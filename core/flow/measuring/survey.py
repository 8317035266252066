"""The as-built surveys up to the day of assessment, as the tables of their subject."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from core.flow.snapshot import Snapshot
from core.records.current_rows import CurrentRows
from core.subjects.frames import frame_of
from core.subjects.survey import selection
from core.subjects.survey.measures import Inputs, Pile, tables
from core.subjects.tables import of_pile

# What the subject takes of the piles: the design, and the row of the schedule that gives it.
_DESIGN = ["pile_id", "pile_type", "element", "easting_m", "northing_m", "cutoff_level_m",
           "batter_deg", "azimuth_deg", "entry_no", "sheet", "row_no"]  # fmt: skip


def survey_tables(snapshot: Snapshot, piles: pd.DataFrame, traced: bool = False) -> Pile:
    """The tables of ``piles``; with ``traced``, of a single pile that keeps how they came about."""
    rows = CurrentRows.of_frame(piles[_DESIGN])
    pile_id = piles["pile_id"].iloc[0] if traced else None

    def of(kind: str) -> CurrentRows:
        found = snapshot.rows(kind)
        return found if pile_id is None else of_pile(found, pile_id)

    return tables(
        Inputs(
            piles=rows,
            surveys=selection.until(of("survey"), "surveyed_on", snapshot.on),
            pile_records=of("pile"),
            runs=selection.until(of("run"), "run_on", snapshot.on),
            covered=selection.covered_heads(of("stage_record"), snapshot.on),
            stages=_stages(snapshot),
            on=np.datetime64(snapshot.on, "us"),
        ),
        traced,
    )


def survey(snapshot: Snapshot, piles: pd.DataFrame) -> tuple[pd.DataFrame, pd.DataFrame, Pile]:
    """Frames of piles with the numbers of their judging survey and of every survey; the tables."""
    found = survey_tables(snapshot, piles)
    own = {name: values for name, values in found.columns() if name not in piles}
    of_piles = frame_of(own).set_index(piles.index)
    return pd.concat([piles, of_piles], axis=1), survey_frame(found), found


def survey_frame(found: Pile) -> pd.DataFrame:
    """Every survey with its deviations from the design."""
    surveys = found.surveys.below
    recorded = surveys.rows.frame()
    made: dict[str, Any] = {
        name: values
        for name, values in surveys.columns()
        if name not in recorded or name.startswith("reviewed_")
    }
    return recorded.assign(**frame_of(made))


def _stages(snapshot: Snapshot) -> selection.Stages:
    criteria = snapshot.project.criteria("survey_recorded").reindex(columns=["pile_type", "stages"])
    pairs = zip(criteria["pile_type"], criteria["stages"], strict=True)
    return {name: stages for name, stages in pairs if isinstance(stages, tuple)}
