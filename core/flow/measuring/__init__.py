"""From a snapshot to measures: the order in which the subjects of a pile are worked out."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pandas as pd

from core import words
from core.compute.selection import grout_placements
from core.flow.measuring import grout, steel, survey, torque
from core.flow.measuring.piles import with_open
from core.flow.snapshot import Snapshot
from core.judge import states
from core.subjects.grout.measures import Pile as GroutOfPile
from core.subjects.survey.measures import Pile as SurveyOfPile
from core.subjects.torque import Torque
from core.subjects.torque import profile as profile_frame


@dataclass(frozen=True)
class Measured:
    """Piles with their measures, and the rows behind them, up to the day that judges.

    ``torque``: the tables of torque; ``runs``: in the order of the work, with what an open one
    lacks; ``after``: work that shows a pile's last run ended; ``reached``: stages of piles with the
    day of each; ``lifts``: grout by lift, in the order of the work; ``specimens``: of grout;
    ``sampled``: one row per sample group and pile that it stands for; ``batches``: of grout;
    ``placed``: what each batch gave to each lift; ``of_grout``: the tables that these come from;
    ``steel``: tables of strings, pieces, stamps that are in two places and lots; ``surveys``: each
    with its deviations, ``judges`` marks one of each pile; ``of_survey``: the tables that both come
    from.
    """

    piles: pd.DataFrame
    torque: Torque
    runs: pd.DataFrame
    after: states.Dated
    reached: states.Dated
    lifts: pd.DataFrame
    specimens: pd.DataFrame
    sampled: pd.DataFrame
    batches: pd.DataFrame
    placed: pd.DataFrame
    of_grout: GroutOfPile
    steel: steel.Steel
    surveys: pd.DataFrame
    of_survey: SurveyOfPile

    @cached_property
    def profile(self) -> pd.DataFrame:
        """One row per reading, made when it is needed."""
        return profile_frame(self.torque)

    @cached_property
    def recorded(self) -> pd.DataFrame:
        """Events beside readings and remarks of runs, as they were written."""
        return self.torque.recorded_texts.frame()

    @property
    def chain(self) -> pd.DataFrame:
        """One row per piece of steel placed."""
        return self.steel.chain


def measured(snapshot: Snapshot) -> Measured:
    """All measures of ``snapshot``."""
    runs = torque.runs_until(snapshot)
    of_steel = steel.Steel(snapshot)
    piles, of_torque = torque.torque(snapshot, of_steel.ratings)
    piles, surveys, of_survey = survey.survey(snapshot, piles)
    read = runs[of_torque.has_readings]
    runs = with_open(runs, read, piles[piles["pile_id"].notna()])
    after = _after(snapshot, runs, surveys)
    reached = _reached(snapshot, piles, runs, surveys, after)
    piles = _being_driven(piles.copy(), runs, after)  # one block, not a hundred
    of_grout = grout.grout_tables(snapshot, piles)
    piles = grout.with_grout(piles, of_grout)
    piles = steel.with_steel(piles, of_steel).copy()  # here, too
    return Measured(
        piles=_with_stage(piles, reached, snapshot),
        torque=of_torque,
        runs=runs,
        after=after,
        reached=reached,
        lifts=grout.lift_frame(of_grout),
        specimens=grout.specimen_frame(of_grout),
        sampled=snapshot.frame("sample_group_member"),
        batches=snapshot.rows_until("grout_batch").frame(),
        placed=grout.placed_frame(of_grout),
        of_grout=of_grout,
        steel=of_steel,
        surveys=surveys,
        of_survey=of_survey,
    )


def _after(snapshot: Snapshot, runs: pd.DataFrame, surveys: pd.DataFrame) -> states.Dated:
    """Work up to the day that judges that shows a pile's last run ended."""
    placements = snapshot.select(grout_placements)
    known = placements[placements["run_order"].notna()]
    after = states.work_after_runs(runs, known, surveys, snapshot.frame("stage_record"))
    return after.until(np.datetime64(snapshot.on, "us"))


def _being_driven(piles: pd.DataFrame, runs: pd.DataFrame, after: states.Dated) -> pd.DataFrame:
    """``piles`` with being_driven: the last run has no toe yet and no work came after it."""
    last = runs.groupby("pile_id", sort=False).tail(1)
    open_ = last.loc[last["open_run"] & last["toe_mm"].isna(), "pile_id"]
    worked = [after.piles[pile] for pile in np.unique(after.pile)]
    driven = piles["pile_id"].isin(open_) & ~piles["pile_id"].isin(worked)
    return piles.assign(being_driven=driven)


def _reached(
    snapshot: Snapshot,
    piles: pd.DataFrame,
    runs: pd.DataFrame,
    surveys: pd.DataFrame,
    after: states.Dated,
) -> states.Dated:
    """Stages that runs, placements, surveys that count and stage records show."""
    grouted = set(piles.loc[piles["grouted"].eq(True), "pile_id"].dropna())
    later = states.work_days(snapshot.select(grout_placements), surveys[surveys["counts"]], grouted)
    return states.stages_reached(runs, snapshot.frame("stage_record"), later, after)


def _with_stage(piles: pd.DataFrame, reached: states.Dated, snapshot: Snapshot) -> pd.DataFrame:
    """``piles`` with the stage of the pile, or of its position while no pile serves it."""
    stage, stage_on = states.present_stage(reached, np.datetime64(snapshot.on, "us"))
    place = {pile: at for at, pile in enumerate(reached.piles)}
    key = piles["pile_id"].fillna(piles["position_id"])
    at = np.array([place.get(one, -1) for one in key], dtype=np.int64)
    order = np.append(stage, -1)[at]
    order[order < 0] = words.STAGE_ORDER["on the schedule"]
    return piles.assign(
        stage=np.array(states.STAGE_WORDS, dtype=object)[order],
        stage_on=np.append(stage_on, np.datetime64("NaT"))[at],
    )


__all__ = ["Measured", "measured"]
