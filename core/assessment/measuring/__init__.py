"""From a snapshot to measures: the order in which the subjects of a pile are worked out."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pandas as pd

from core import words
from core.assessment import states
from core.assessment.measuring import grout, survey, torque
from core.assessment.measuring.piles import pile_rows
from core.assessment.measuring.steel import Steel
from core.assessment.measuring.table_columns import TableColumns
from core.assessment.snapshot import Snapshot
from core.criteria.columns import Array, Days, Mask, RecordColumns
from core.records.current_rows import CurrentRows
from core.selection import grout_placements
from core.subjects.grout.measures import Pile as GroutOfPile
from core.subjects.piles.factors import DIRECTIONS
from core.subjects.piles.measures import Lengths, Loads, Resistances, lengths_of
from core.subjects.survey.measures import Pile as SurveyOfPile
from core.subjects.tables import Table, Texts
from core.subjects.torque.frames import profile as profile_frame
from core.subjects.torque.tables import Torque

_FOR_STEPS = [f"{direction}_torque_factor_key" for direction in DIRECTIONS]


@dataclass(frozen=True, eq=False)
class PileTables:
    """The tables of every subject, each with one row per pile or open position of ``rows``."""

    rows: CurrentRows
    lengths: Lengths
    loads: Loads
    resistances: Resistances
    torque: Torque
    steel: Table
    survey: SurveyOfPile
    grout: GroutOfPile

    @property
    def every(self) -> tuple[Table, ...]:
        """One after the other; of a name that several have the first counts."""
        of_torque = self.torque.pile, self.torque.uncertainty
        tables = self.loads, *of_torque, self.lengths, self.resistances
        return *tables, self.survey, self.grout, self.steel


def pile_tables(
    snapshot: Snapshot, rows: CurrentRows, steel: Table, of: str | None = None
) -> PileTables:
    """The tables of ``rows`` beside those of their steel.

    ``of``: the number of the only one of ``rows``; the tables keep how its numbers came about.
    """
    traced = of is not None
    of_torque = torque.torque_tables(snapshot, rows, of)
    loads = Loads(rows, traced=traced)
    beside = {"loads": loads, "torque": of_torque.pile, "steel": steel}
    return PileTables(
        rows=rows,
        lengths=lengths_of(rows, of_torque.runs, of_torque.has_readings, traced=traced),
        loads=loads,
        resistances=Resistances(rows, traced=traced, **beside),
        torque=of_torque,
        steel=steel,
        survey=survey.survey_tables(snapshot, rows, of),
        grout=grout.grout_tables(snapshot, rows, of),
    )


class Measured:
    """Piles with their measures, and the rows behind them, up to the day that judges.

    Everything is worked out when it is read; frames are for screens, exports and the notebook.
    ``reached``: stages of piles with the day of each; ``after``: work that shows a pile's last run
    ended.
    """

    def __init__(self, snapshot: Snapshot) -> None:
        self.snapshot = snapshot
        rows = pile_rows(snapshot)
        self.steel = Steel(snapshot, rows)
        self.tables: PileTables = pile_tables(snapshot, rows, self.steel.piles)
        self._on = np.datetime64(snapshot.on, "us")
        self._stage_records = RecordColumns(snapshot.rows("stage_record"))
        self._placements = snapshot.chosen(grout_placements)

    @cached_property
    def of_piles(self) -> TableColumns:
        """Piles, and positions in force that no pile serves, with all that is measured of them."""
        stage, stage_on = self._stage
        own = {"being_driven": self._being_driven, "stage": stage, "stage_on": stage_on}
        return TableColumns(self.tables.rows, *self.tables.every, hidden=_FOR_STEPS, **own)

    @cached_property
    def of_runs(self) -> TableColumns:
        """Runs in the order of the work, with what an open one lacks."""
        runs = self.tables.lengths.runs.below
        return TableColumns(runs.rows, runs)

    @cached_property
    def of_surveys(self) -> TableColumns:
        """Every survey with its deviations; ``judges`` marks one of each pile."""
        surveys = self.tables.survey.surveys.below
        return TableColumns(surveys.rows, surveys)

    @cached_property
    def after(self) -> states.Dated:
        """Work that shows that a pile's last run ended."""
        known = self._placements.where(self._placements.has("run_order"))
        after = states.work_after_runs(
            self.of_runs, RecordColumns(known), self.of_surveys, self._stage_records
        )
        return after.until(self._on)

    @cached_property
    def reached(self) -> states.Dated:
        """Stages that runs, placements, surveys that count and stage records show."""
        piles, placements = RecordColumns(self.tables.rows), RecordColumns(self._placements)
        later = states.work_days(placements, self.of_surveys, piles)
        return states.stages_reached(self.of_runs, self._stage_records, later, self.after)

    @cached_property
    def piles(self) -> pd.DataFrame:
        """One row per pile, and per position in force that no pile serves."""
        return self.of_piles.frame()

    @cached_property
    def runs(self) -> pd.DataFrame:
        """One row per run, in the order of the work."""
        return self.of_runs.frame()

    @cached_property
    def profile(self) -> pd.DataFrame:
        """One row per reading."""
        return profile_frame(self.tables.torque)

    @cached_property
    def recorded(self) -> pd.DataFrame:
        """Events beside readings and remarks of runs, as they were written."""
        return self.tables.torque.recorded_texts.frame()

    @cached_property
    def lifts(self) -> pd.DataFrame:
        """One row per lift of grout, in the order of the work."""
        return grout.lift_frame(self.tables.grout)

    @cached_property
    def placed(self) -> pd.DataFrame:
        """What each batch gave to each lift."""
        return grout.placed_frame(self.tables.grout)

    @cached_property
    def specimens(self) -> pd.DataFrame:
        """One row per specimen of grout."""
        return grout.specimen_frame(self.tables.grout)

    @cached_property
    def sampled(self) -> pd.DataFrame:
        """One row per sample group and pile that it stands for."""
        return self.snapshot.frame("sample_group_member")

    @cached_property
    def batches(self) -> pd.DataFrame:
        """One row per batch of grout."""
        return self.snapshot.rows_until("grout_batch").frame()

    @cached_property
    def surveys(self) -> pd.DataFrame:
        """One row per survey."""
        return self.of_surveys.frame()

    @property
    def chain(self) -> pd.DataFrame:
        """One row per piece of steel placed."""
        return self.steel.chain

    @cached_property
    def _being_driven(self) -> Mask:
        """Whether the last run of each pile has no toe yet and no work came after it."""
        lengths, after = self.tables.lengths, self.after
        runs, last = lengths.runs.below, lengths.last_run
        open_ = runs.open_run & ~runs.has("toe_mm")
        worked = {after.piles[pile] for pile in np.unique(after.pile).tolist()}
        codes, texts = self.tables.rows.codes("pile_id"), self.tables.rows.texts("pile_id")
        ended = np.array([*(text in worked for text in texts), False])[codes]
        found: Mask = np.append(open_, False)[last] & ~ended
        return found

    @cached_property
    def _stage(self) -> tuple[Texts, Days]:
        """Stage of each pile and its day; of the position while no pile serves it."""
        rows, reached = self.tables.rows, self.reached
        stage, stage_on = states.present_stage(reached, self._on)
        place = {pile: at for at, pile in enumerate(reached.piles)}

        def at(name: str) -> Array:
            own = [place.get(text, -1) for text in rows.texts(name)]
            return np.array([*own, -1], dtype=np.int64)[rows.codes(name)]

        key = np.where(rows.has("pile_id"), at("pile_id"), at("position_id"))
        order = np.append(stage, -1)[key]
        order[order < 0] = words.STAGE_ORDER["on the schedule"]
        return Texts(order, states.STAGE_WORDS), np.append(stage_on, np.datetime64("NaT"))[key]
