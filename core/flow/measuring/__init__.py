"""Facts to measures: the order in which the subjects of a pile are worked out."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from core.flow.facts import Facts
from core.flow.measuring import grout, steel, survey, torque
from core.judge import states


@dataclass(frozen=True)
class Measured:
    """Piles with their measures, and the rows behind them, up to the day that judges.

    ``profile``: torque readings; ``runs``: in the order of the work; ``reached``: one row per pile
    and stage reached; ``lifts``: grout by lift, in the order of the work; ``specimens``: of grout;
    ``sampled``: one row per sample group and pile that it stands for; ``batches``: of grout;
    ``placed``: what each batch gave to each lift; ``chain``: one row per piece of steel placed;
    ``steel``: strings, stamps that stand twice and lots; ``surveys``: each with its deviations,
    ``judges`` marks one of each pile.
    """

    piles: pd.DataFrame
    profile: pd.DataFrame
    runs: pd.DataFrame
    reached: pd.DataFrame
    lifts: pd.DataFrame
    specimens: pd.DataFrame
    sampled: pd.DataFrame
    chain: pd.DataFrame
    batches: pd.DataFrame
    placed: pd.DataFrame
    steel: steel.Steel
    surveys: pd.DataFrame


def measured(facts: Facts) -> Measured:
    """All measures of ``facts``."""
    runs = torque.runs_until(facts)
    of_steel = steel.steel(facts)
    piles, profile = torque.torque(facts, runs, of_steel.ratings)
    piles, surveys = survey.survey(facts, piles)
    reached = _reached(facts, piles, runs, surveys)
    placed, specimens = grout.placed(facts, piles), grout.specimens(facts)
    lifts = grout.lifts(placed, piles)
    piles = grout.with_grout(facts, piles, runs, placed, lifts, specimens)
    piles = steel.with_steel(piles, runs, of_steel).copy()  # one block, not a hundred
    return Measured(
        piles=_with_stage(piles, reached, facts),
        profile=profile,
        runs=runs,
        reached=reached,
        lifts=lifts,
        specimens=specimens,
        sampled=facts.works.sample_group_members,
        batches=grout.batches_until(facts),
        placed=placed,
        chain=of_steel.chain,
        steel=of_steel,
        surveys=surveys,
    )


def _reached(
    facts: Facts, piles: pd.DataFrame, runs: pd.DataFrame, surveys: pd.DataFrame
) -> pd.DataFrame:
    """Stages that runs, placements, surveys that count and stage records show."""
    grouted = set(piles.loc[piles["grouted"].eq(True), "pile_id"].dropna())
    later = states.work_days(facts.works.grout_placements, surveys[surveys["counts"]], grouted)
    return states.stages_reached(runs, facts.stage_records, later)


def _with_stage(piles: pd.DataFrame, reached: pd.DataFrame, facts: Facts) -> pd.DataFrame:
    """``piles`` with the stage of the pile, or of its position while no pile serves it."""
    present = states.present_stage(reached, pd.Timestamp(facts.on))
    key = piles["pile_id"].fillna(piles["position_id"])
    present = present.set_index("pile_id").reindex(key)
    return piles.assign(
        stage=present["stage"].fillna("on the schedule").to_numpy(),
        stage_on=present["stage_on"].to_numpy(),
    )


__all__ = ["Measured", "measured"]
