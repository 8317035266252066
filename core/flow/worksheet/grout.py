"""Steps of the grout of a pile, as the tables of the subject declare them."""

from __future__ import annotations

from core.flow.measuring.grout import grout_tables
from core.flow.worksheet.known import Known
from core.flow.worksheet.steps import Step
from core.flow.worksheet.traced import steps_of


def steps(known: Known) -> list[Step]:
    """Every step of the pile's lifts, of the gap between them, of batches and specimens."""
    piles = known.assessment.piles
    own = piles[piles["pile_id"].eq(known.row["pile_id"])]
    return steps_of(known, grout_tables(known.assessment.snapshot, own, traced=True))
