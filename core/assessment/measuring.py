"""The tables of every subject from the rows of a snapshot, worked out when they are read."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc

from core import words
from core.assessment import states
from core.assessment.snapshot import Snapshot
from core.criteria.columns import Array, Converted, Days, Mask, RecordColumns, of_record, text_array
from core.records import KIND
from core.records.current_rows import CurrentRows
from core.selection import (
    calibration_points,
    certificates,
    components_placed,
    grout_placements,
    ordered_runs,
    quarantines,
    readings_of_runs,
    schedule_in_force,
)
from core.settings import Project
from core.subjects.columns import Column, Values
from core.subjects.frames import frame_of, frame_of_table
from core.subjects.grout import selection as placed
from core.subjects.grout.lifts import VOLUMES, lift_names
from core.subjects.grout.measures import Inputs, Pile, tables
from core.subjects.grout.measures import Pile as GroutOfPile
from core.subjects.piles.measures import DIRECTIONS, Lengths, Loads, Resistances, lengths_of
from core.subjects.piles.selection import PileRecords
from core.subjects.piles.selection import pile_rows as selected
from core.subjects.steel import frames, measures, quality
from core.subjects.steel.components import Parent
from core.subjects.steel.pieces import PiecePlaced, Qualities
from core.subjects.steel.selection import Records
from core.subjects.survey import measures as of_survey
from core.subjects.survey import selection as surveyed
from core.subjects.survey.measures import Pile as SurveyOfPile
from core.subjects.tables import Table, Texts, of_pile
from core.subjects.torque import tables as of_torque
from core.subjects.torque.frames import profile as profile_frame
from core.subjects.torque.tables import Torque


class TableColumns(Converted):
    """The columns of rows and of tables of as many rows, each worked out when it is read.

    ``made``: further columns by name. ``hidden``: columns of the rows that nobody reads here. A
    name that several have is that of the rows, then that of the first table.
    """

    def __init__(
        self, rows: CurrentRows, *tables: Table, hidden: Collection[str] = (), **made: Any
    ) -> None:
        self.rows, self._length = rows, len(rows)
        self._of_rows = [name for name in rows.names if name not in hidden]
        self._made, self._table = made, _table_of_names(tables, {*self._of_rows, *made})
        super().__init__([*self._of_rows, *self._table, *made])

    def __len__(self) -> int:
        return self._length

    def coded(self, name: str) -> tuple[Array, Sequence[str]]:
        """A column of text as codes into its distinct texts, -1 where there is none."""
        found = self._value(name)
        if found is None:
            return self.rows.codes(name), self.rows.texts(name)
        return (found.codes, found.words) if isinstance(found, Texts) else super().coded(name)

    def frame(self) -> pd.DataFrame:
        """Every column as a frame."""
        made = frame_of({name: self._value(name) for name in (*self._table, *self._made)})
        every = pd.concat([self.rows.only(self._of_rows).frame(), made], axis=1)
        return every.copy()  # a block for each type, not for each column

    def _value(self, name: str) -> Any:
        """What a table or nobody but the maker of this has under ``name``; None of the rows."""
        if name in self._made:
            return self._made[name]
        return getattr(self._table[name], name) if name in self._table else None

    def _convert(self, form: str, name: str) -> Array:
        found = self._value(name)
        if found is None:
            return of_record(form, name, self.rows)
        if isinstance(found, Texts):
            return text_array([*found.words, ""])[found.codes]
        values: Array = found.values if isinstance(found, Column) else found
        if form == "truth":
            return np.asarray(values == np.True_)
        return values.astype("datetime64[us]" if form == "day" else np.float64)


def _table_of_names(tables: Sequence[Table], taken: set[str]) -> dict[str, Table]:
    found: dict[str, Table] = {}
    for name, table in _declared(tables):
        if name not in taken:
            found.setdefault(name, table)
    return found


def _declared(tables: Sequence[Table]) -> Iterator[tuple[str, Table]]:
    for table in tables:
        for name, one in table.declared.items():
            if one.kind is not None:
                yield name, table


def pile_rows(snapshot: Snapshot) -> CurrentRows:
    """Every pile and open position with what is required of it, its runs and its factors."""
    project, runs = snapshot.project, snapshot.chosen(ordered_runs)
    return selected(
        PileRecords(
            schedule=snapshot.chosen(schedule_in_force),
            piles=snapshot.rows("pile"),
            runs=runs.where(runs.values("run_on") <= np.datetime64(snapshot.on, "us")),
            stages=_beyond_installing(snapshot.rows("stage_record")),
            types=project.types,
            safety_factors=project.safety_factors,
            torque_factors=project.torque_factors,
        )
    )


def _beyond_installing(stages: CurrentRows) -> CurrentRows:
    """Stage records that show work beyond installing."""
    order = words.STAGE_ORDER
    beyond = [order.get(text, -1) > order["installing"] for text in stages.texts("stage")]
    return stages.where(np.array([*beyond, False], dtype=bool)[stages.codes("stage")])


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


def torque_tables(snapshot: Snapshot, piles: CurrentRows, of: str | None = None) -> Torque:
    """The tables of ``piles``; ``of``: the number of the only one, whose steps are kept."""
    readings, runs = snapshot.chosen(readings_of_runs), snapshot.chosen(ordered_runs)
    if of is not None:
        readings, runs = of_pile(readings, of), of_pile(runs, of)
    inputs = of_torque.Inputs(
        readings=readings,
        runs=runs,
        certificates=snapshot.chosen(certificates),
        points=snapshot.chosen(calibration_points),
        instruments=_instruments(snapshot.project),
        piles=piles,
        on=snapshot.on,
        time_zone=snapshot.project.tables.project.time_zone,
    )
    return of_torque.tables(inputs, traced=of is not None)


def _instruments(project: Project) -> CurrentRows:
    """How well each instrument measures, each number with its key in project.toml."""
    rows = CurrentRows.of_frame(project.torque_uncertainties())
    tables = project.tables.torque_uncertainty
    for name in rows.names:
        if name not in ("instrument_id", "source"):
            field = "accuracy_class_percent" if name == "class_share" else name
            keys = [
                f"torque_uncertainty, {one.instrument}"
                + (f": {one.as_entered(field)}" if one.is_quantity(field) else "")
                for one in tables
            ]
            rows = rows.with_text(f"{name}_key", np.arange(len(keys)), keys)
    return rows


_OF_FIRST = ("pile_id", "run_no", "lift_no", "run_order", "entry_no", "sheet", "row_no")
LIFT = [
    "pile_id", "run_no", "lift_no", "run_order", "from_mm", "to_mm", "depths_of",
    "written_from_mm", "written_to_mm", "batched_l", "left_l", "spilled_l", "returned_l",
    "resolution_l", "how_measured", "placed_on", "started_at", "ended_at", "level_drop_mm",
    "topped_up_l", "pressure_kpa", "placements", "batches", "entry_no", "sheet", "row_no", "net_l",
    "cumulative_void_l", "void_l", "cumulative_net_l", "take_ratio", "cumulative_ratio", "missing",
]  # fmt: skip


def grout_tables(snapshot: Snapshot, piles: CurrentRows, of: str | None = None) -> Pile:
    """The tables of ``piles``; ``of``: the number of the only one, whose steps are kept."""

    def own(rows: CurrentRows) -> CurrentRows:
        return rows if of is None else of_pile(rows, of)

    on, zone = np.datetime64(snapshot.on, "us"), snapshot.project.tables.project.time_zone
    runs = placed.until(own(snapshot.chosen(ordered_runs)), "run_on", on)
    placements = placed.placements_until(own(snapshot.chosen(grout_placements)), on)
    readings = own(snapshot.chosen(readings_of_runs).only(["pile_id", "read_at", "flag", "run_on"]))
    return tables(
        Inputs(
            piles=piles,
            runs=runs,
            placements=placements,
            batches=snapshot.rows("grout_batch"),
            specimens=placed.until(snapshot.rows("grout_specimen"), "taken_on", on),
            members=own(snapshot.rows("sample_group_member")),
            readings=placed.until(readings, "run_on", on),
            run_days=day_bounds(runs.values("run_on"), zone),
            placement_days=day_bounds(placed.placed_on(placements), zone),
            on=on,
        ),
        traced=of is not None,
    )


def lift_frame(grout: Pile) -> pd.DataFrame:
    """One row per lift of every pile, in the order of the work."""
    lift = grout.lift.below
    made = frame_of_table(lift)
    return lift.rows.only(_OF_FIRST).frame().assign(**made)[LIFT]


def placed_frame(grout: Pile) -> pd.DataFrame:
    """One row per batch of every lift, in toe depths, with the numbers of the batch."""
    placed = grout.placed.below
    made = {name: values for name, values in placed.columns() if name not in VOLUMES}
    return placed.rows.frame().assign(**frame_of(made))


def specimen_frame(grout: Pile) -> pd.DataFrame:
    """One row per specimen, with the piles for which its group is taken."""
    specimen = grout.sampled.below.specimen
    return specimen.rows.frame().assign(**frame_of_table(specimen))


def gap_frame(grout: Pile) -> pd.DataFrame:
    """One row per gap between the lifts of a pile, from the top down."""
    gap, names = grout.gap.below, lift_names(grout.placed.below)
    return frame_of(
        {
            "pile_id": gap.text("pile_id"),
            "gap_from_mm": gap.from_mm,
            "gap_to_mm": gap.to_mm,
            "lift_above": names.take(gap.above),
            "lift_below": names.take(gap.below),
        }
    ).fillna({"lift_above": "", "lift_below": ""})


def day_bounds(days: Values, zone: str) -> tuple[Values, Values]:
    """When each day begins and ends on the site, in UTC and microseconds."""
    each, at = np.unique(days, return_inverse=True)
    moments = pd.DatetimeIndex(np.concatenate([each, each + np.timedelta64(1, "D")]))
    local = moments.tz_localize(zone, ambiguous=True, nonexistent="shift_forward")
    found = placed.microseconds(local.tz_convert("UTC").tz_localize(None).to_numpy())
    begins, ends = np.split(found, 2)
    return begins[at], ends[at]


class Steel:
    """The steel of ``piles`` as tables, and as frames that are made when somebody looks.

    ``run``: runs up to the day of assessment, in the order of the work.
    """

    def __init__(self, snapshot: Snapshot, piles: CurrentRows) -> None:
        self.tables = measures.Steel(records(snapshot), QUALITIES)
        self.run = runs_until(snapshot)
        self.piles = self.tables.piles(piles.only(["pile_id"]), self.run)

    @cached_property
    def parents(self) -> Parent:
        """Stamps that others are cut from."""
        return self.tables.parents(self.run)

    @cached_property
    def strings(self) -> pd.DataFrame:
        """One row per component placed."""
        return frames.strings(self.tables)

    @cached_property
    def trace(self) -> pd.DataFrame:
        """One row per piece of steel placed."""
        return frames.trace(self.tables, self.strings)

    @cached_property
    def delivered(self) -> pd.DataFrame:
        """One row per component delivered."""
        return frames.delivered(self.tables.components.delivered)

    @cached_property
    def register(self) -> pd.DataFrame:
        """One row per piece of steel delivered."""
        return frames.register(self.tables)

    @cached_property
    def again(self) -> pd.DataFrame:
        """Places whose stamp is in another place, too."""
        return frames.placed_again(self.tables)

    @cached_property
    def lots(self) -> pd.DataFrame:
        """One row per stamp of a lot."""
        return frames.with_stamp(self.tables.lots, "stamp")

    @cached_property
    def cut(self) -> pd.DataFrame:
        """One row per stamp that others are cut from."""
        return frames.with_stamp(self.parents, "cut_from")

    @cached_property
    def pieces(self) -> pd.DataFrame:
        """Pieces recorded, with their mill where one alone is known."""
        mills = self.tables.mills
        return frames.with_mills(self.tables.records.piece, mills.of_piece, mills)

    @cached_property
    def heats(self) -> pd.DataFrame:
        """Heats on certificates, with their mill where one alone is known."""
        mills = self.tables.mills
        return frames.with_mills(self.tables.records.heat_on_certificate, mills.of_line, mills)


def records(snapshot: Snapshot) -> Records:
    """The rows of ``snapshot`` on which the steel rests."""
    placed = snapshot.chosen(components_placed)
    until = ~(placed.values("run_on") > np.datetime64(snapshot.on, "us"))
    kinds = ("component", "delivery", "lot", "piece", "certificate", "heat_on_certificate")
    return Records(
        component_placed=placed if until.all() else placed.where(until),
        **{kind: snapshot.rows(kind) for kind in kinds},
        quarantine=snapshot.chosen(quarantines),
        component_kinds=snapshot.project.component_kinds,
        steel_grades=snapshot.project.steel_grades,
    )


def runs_until(snapshot: Snapshot) -> CurrentRows:
    """Runs up to the day of assessment, in the order of the work."""
    runs = snapshot.chosen(ordered_runs)
    return runs.where(runs.values("run_on") <= np.datetime64(snapshot.on, "us"))


class PieceColumns:
    """The columns of pieces placed as judging reads them: of all of them, or of ``rows``."""

    def __init__(self, pieces: PiecePlaced, rows: Array | None = None) -> None:
        self._pieces, self._rows = pieces, slice(None) if rows is None else rows
        self._length = len(pieces) if rows is None else len(rows)

    def __len__(self) -> int:
        return self._length

    def numbers(self, name: str) -> Array:
        """A column as numbers, NaN where unknown."""
        return self._pieces.number(name)[self._rows]

    def text(self, name: str) -> Array:
        """A column as texts, "" where there is none."""
        return self._pieces.text(name).array()[self._rows]

    def day(self, name: str) -> Array:
        """A column as days, NaT where unknown."""
        return self._pieces.day(name)[self._rows]

    def is_true(self, name: str) -> Array:
        """Whether each piece is known to be so."""
        return self._pieces.flag(name)[self._rows]


QUALITIES = Qualities(
    lambda piece: quality.marks(PieceColumns(piece)),
    lambda piece, name, rows: quality.words(PieceColumns(piece, rows), name),
)


def of_one(snapshot: Snapshot, pile_id: str) -> measures.Pile:
    """The steel of one pile from its rows alone, with the trace of its numbers."""
    every = records(snapshot)
    placed = of_pile(every.component_placed, pile_id)
    own = replace(
        every,
        component_placed=placed,
        component=_with_stamps(every.component, placed),
        piece=CurrentRows.none(KIND["piece"]),  # no length rests on a piece
    )
    tables = measures.Steel(own, _NOT_JUDGED, traced=True)
    piles = CurrentRows({}, 1).with_text("pile_id", np.array([0]), [pile_id])
    return tables.piles(piles, of_pile(runs_until(snapshot), pile_id))


def _with_stamps(component: CurrentRows, placed: CurrentRows) -> CurrentRows:
    """Components of the stamps that are placed."""
    stamps = pa.array(placed.used("stamp"), pa.string())
    own = pc.is_in(component.distinct("stamp"), value_set=stamps).to_numpy(zero_copy_only=False)
    return component.where(np.append(own, False)[component.codes("stamp")])


def _nothing(*_: Any) -> Any:
    raise LookupError("nothing is judged in a worksheet")


_NOT_JUDGED = Qualities(_nothing, _nothing)


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
    of_torque = torque_tables(snapshot, rows, of)
    loads = Loads(rows, traced=traced)
    beside = {"loads": loads, "torque": of_torque.pile, "steel": steel}
    return PileTables(
        rows=rows,
        lengths=lengths_of(rows, of_torque.runs, of_torque.has_readings, traced=traced),
        loads=loads,
        resistances=Resistances(rows, traced=traced, **beside),
        torque=of_torque,
        steel=steel,
        survey=survey_tables(snapshot, rows, of),
        grout=grout_tables(snapshot, rows, of),
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
        """Every survey with its deviations; ``is_assessed`` marks one of each pile."""
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
        return lift_frame(self.tables.grout)

    @cached_property
    def placed(self) -> pd.DataFrame:
        """What each batch gave to each lift."""
        return placed_frame(self.tables.grout)

    @cached_property
    def specimens(self) -> pd.DataFrame:
        """One row per specimen of grout."""
        return specimen_frame(self.tables.grout)

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
    def trace(self) -> pd.DataFrame:
        """One row per piece of steel placed."""
        return self.steel.trace

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
