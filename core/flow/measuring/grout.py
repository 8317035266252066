"""Grout of every pile up to the day that judges: lifts, specimens and the measures they give."""

from __future__ import annotations

import pandas as pd

from core.compute.measures import grout as measures
from core.compute.measures import specimens as sampling
from core.flow.facts import Facts


def placements_until(facts: Facts) -> pd.DataFrame:
    """Placements of standing runs up to the day that judges; of grouted types and others."""
    placements = facts.works.grout_placements
    placed = placements["placed_on"].fillna(placements["run_on"])
    known = placements["run_order"].notna() & (placed <= pd.Timestamp(facts.on))
    return placements[known].reset_index(drop=True)


def lifts(facts: Facts, piles: pd.DataFrame) -> pd.DataFrame:
    """One row per lift of every pile."""
    return measures.lifts(placements_until(facts), piles[piles["pile_id"].notna()])


def specimens(facts: Facts) -> pd.DataFrame:
    """One row per specimen."""
    works = facts.works
    on = pd.Timestamp(facts.on)
    return sampling.specimens(works.grout_specimens, works.sample_group_members, on)


def with_grout(facts: Facts, piles: pd.DataFrame, lifts: pd.DataFrame) -> pd.DataFrame:
    """``piles`` with the measures of their grout."""
    with_pile = piles[piles["pile_id"].notna()]
    return piles.join(measures.take_measures(lifts, with_pile), on="pile_id")
