"""The as-built survey of every pile: place at cut-off level, axis and head against the design."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from core.formulas import geometry
from core.records.current_rows import Array, CurrentRows
from core.records.matching import row_of
from core.subjects.columns import (
    Column,
    Condition,
    assume,
    calculate,
    choose,
    first_known,
    take,
    withhold,
)
from core.subjects.survey import selection
from core.subjects.survey.selection import Stages
from core.subjects.tables import (
    Below,
    Kind,
    Links,
    Members,
    Table,
    Texts,
    column,
    evidence,
    measure,
    recorded,
)

# At these stages the head is cut, and the point that is measured is the head.
AT_THE_HEAD = ("after cut-off", "before concrete")
# Metres of a national grid carry noise of a millionth of a millimetre, so that "exactly on the
# limit" needs a last digit.
DIGITS = 3
UPRIGHT = "an upright axis has no direction"
ON_LEVEL = "the point is at cut-off level and stays where it is"


@dataclass(frozen=True)
class Inputs:
    """What the survey of piles works from.

    ``piles``: one row per pile with its design and the place of its schedule row; ``surveys``,
    ``runs`` and ``covered``: up to ``on``; ``pile_records``: of piles, with their instructions;
    ``stages``: at which surveys count, by pile type.
    """

    piles: CurrentRows
    surveys: CurrentRows
    pile_records: CurrentRows
    runs: CurrentRows
    covered: CurrentRows
    stages: Stages
    on: np.datetime64


class PileRecord(Table):
    """The record of one pile, with the point to which an instruction moves it."""

    subject, record = "survey", "pile"
    instructed_easting_m, instructed_northing_m = recorded(), recorded()


class Run(Table):
    """One run of a pile."""

    subject, record = "survey", "run"


class CoveredHead(Table):
    """The day on which concrete covered the head of one pile."""

    subject, record = "survey", "stage_record"


class Survey(Table):
    """One as-built survey of one pile, against the design of that pile."""

    subject, record = "survey", "survey"
    pile: Pile
    home: Array  # row of its pile, -1 for none
    on: np.datetime64
    counting: Array
    judging: Array

    easting_m, northing_m, level_m, head_level_m = recorded(), recorded(), recorded(), recorded()
    batter_deg, azimuth_deg = recorded(), recorded()
    tilt_east_deg, tilt_north_deg = recorded(), recorded()

    def of_pile(self, found: Column) -> Column:
        """A column of piles, for the pile of each survey."""
        return take(self, found, self.home)

    @column("flag", "the type of the pile names the stage of the survey")
    def counts(self) -> Array:
        """As the selection found."""
        return self.counting

    @column("number", "easting that the pile should have")
    def design_easting_m(self) -> Column:
        """The instructed point, else the schedule's."""
        return self.of_pile(self.pile.design_easting_m)

    @column("number", "northing that the pile should have")
    def design_northing_m(self) -> Column:
        """The instructed point, else the schedule's."""
        return self.of_pile(self.pile.design_northing_m)

    @column("number", "batter that the pile should have")
    def design_batter_deg(self) -> Column:
        """Upright where the schedule gives none, but for an anchor."""
        return self.of_pile(self.pile.design_batter_deg)

    @column("number", "direction in which the toe should lean")
    def design_azimuth_deg(self) -> Column:
        """As scheduled."""
        return self.of_pile(self.pile.azimuth_deg)

    @column("number", "cut-off level of the pile")
    def cutoff_level_m(self) -> Column:
        """As scheduled."""
        return self.of_pile(self.pile.cutoff_level_m)

    @column("text", "helical pile or helical anchor")
    def element(self) -> Texts:
        """As the type of the pile gives it."""
        rows = self.pile.rows
        return Texts(rows.codes("element"), rows.texts("element")).take(self.home)

    @column("number", "angle of the axis as built from vertical")
    def built_batter_deg(self) -> Column:
        """The batter as measured, or from two tilts."""
        plumb = calculate(
            geometry.plumb, self, "Batter as built",
            tilt_one_deg=self.tilt_east_deg, tilt_across_deg=self.tilt_north_deg,
        )  # fmt: skip
        return choose(self, (self.batter_deg.known, self.batter_deg), (plumb.known, plumb))

    @column("number", "direction in which the toe leans as built, 0 of an upright axis")
    def built_azimuth_deg(self) -> Column:
        """As measured, or from two tilts; an upright axis needs no direction."""
        lean = calculate(geometry.lean_azimuth, self, "Direction of the batter as built")
        turned = choose(self, (self.azimuth_deg.known, self.azimuth_deg), (lean.known, lean))
        upright = self.built_batter_deg.values == 0
        return choose(self, (upright, assume(self, 0.0, UPRIGHT, "degree")), otherwise=turned)

    def axis(self) -> tuple[Column, Column]:
        """Batter and direction along which the point goes to cut-off level.

        The axis as built, else the design's. A point at cut-off level stays where it is.
        """
        on_level = Condition.compared(np.equal, self.level_m, self.cutoff_level_m)
        built = self.built_batter_deg
        stays = assume(self, 0.0, ON_LEVEL, "degree")
        batter = choose(
            self, (on_level, stays), (built.known, built), otherwise=self.design_batter_deg
        )
        none = assume(self, 0.0, UPRIGHT, "degree")
        azimuth = choose(
            self,
            (on_level, stays),
            (batter.values == 0, none),
            (built.known, self.built_azimuth_deg),
            otherwise=self.design_azimuth_deg,
        )
        flat = batter.values >= 90
        return withhold(batter, (flat, "the axis is level and meets no other level")), azimuth

    def at_cutoff(self, name: str, word: str, direction: Any) -> Column:
        """A coordinate of the axis at cut-off level."""
        batter, azimuth = self.axis_at_cutoff
        share = calculate(
            direction, self, f"{word.capitalize()}ward part of the axis",
            batter_deg=batter, azimuth_deg=azimuth,
        )  # fmt: skip
        return calculate(
            geometry.projected, self, f"{word.capitalize()}ing at cut-off level",
            coordinate_m=getattr(self, name), target_level_m=self.cutoff_level_m,
            batter_deg=batter, axis_share=share,
        )  # fmt: skip

    @property
    def axis_at_cutoff(self) -> tuple[Column, Column]:
        """``axis``, made once."""
        if "axis" not in self._made:
            self._made["axis"] = self.axis()
        found: tuple[Column, Column] = self._made["axis"]
        return found

    @measure(digits=DIGITS)
    def offset_east_mm(self) -> Column:
        """East of where it should be, at cut-off level."""
        return calculate(
            geometry.coordinate_difference, self,
            built_m=self.at_cutoff("easting_m", "east", geometry.axis_east),
            design_m=self.design_easting_m,
        )  # fmt: skip

    @measure(digits=DIGITS)
    def offset_north_mm(self) -> Column:
        """North of where it should be, at cut-off level."""
        return calculate(
            geometry.coordinate_difference, self,
            built_m=self.at_cutoff("northing_m", "north", geometry.axis_north),
            design_m=self.design_northing_m,
        )  # fmt: skip

    @measure(digits=DIGITS)
    def plan_offset_mm(self) -> Column:
        """Radial."""
        return calculate(geometry.plan_offset, self)

    @column("number", "the larger of the offsets along the two axes of the grid")
    def axis_offset_mm(self) -> Column:
        """Unknown while one of the two is."""
        east, north = np.abs(self.offset_east_mm.values), np.abs(self.offset_north_mm.values)
        return Column(self, np.maximum(east, north), "mm")

    @measure()
    def axis_angle_deg(self) -> Column:
        """Between the axes; beside an upright axis the direction of the other does not matter."""
        built, design = self.built_batter_deg, self.design_batter_deg
        upright = (built.values == 0) | (design.values == 0)
        none = assume(self, 0.0, "beside an upright axis a direction does not matter", "degree")
        return calculate(
            geometry.angle_between, self,
            batter_deg=built,
            azimuth_deg=choose(self, (upright, none), otherwise=self.built_azimuth_deg),
            other_batter_deg=design,
            other_azimuth_deg=choose(self, (upright, none), otherwise=self.design_azimuth_deg),
        )  # fmt: skip

    @measure(digits=DIGITS)
    def head_level_difference_mm(self) -> Column:
        """The level of the head, or of the point where the point is the head."""
        is_head = np.logical_or.reduce([self.is_text("survey_stage", one) for one in AT_THE_HEAD])
        head = first_known(self.head_level_m, self.level_m.where(is_head))
        return calculate(
            geometry.head_difference, self, level_m=head, target_level_m=self.cutoff_level_m
        )

    @column("text", "stage of the survey")
    def survey_stage(self) -> Texts:
        """As recorded."""
        return Texts(self.rows.codes("survey_stage"), self.rows.texts("survey_stage"))

    @column("day", "day of the survey")
    def surveyed_on(self) -> Array:
        """As recorded."""
        return self.rows.values("surveyed_on")

    @column("flag", "the survey that judges its pile")
    def is_assessed(self) -> Array:
        """As the selection found."""
        return self.judging

    @column("text", "who reviewed the survey, as of the day that judges")
    def reviewed_by(self) -> Texts:
        """Nobody where the review came later."""
        codes = np.where(self._reviewed_later, -1, self.rows.codes("reviewed_by"))
        return Texts(codes, self.rows.texts("reviewed_by"))

    @column("day", "day of the review, as of the day that judges")
    def reviewed_on(self) -> Array:
        """None where the review came later."""
        return np.where(
            self._reviewed_later, np.datetime64("NaT", "us"), self.rows.values("reviewed_on")
        )

    @property
    def _reviewed_later(self) -> Array:
        found: Array = self.rows.values("reviewed_on") > self.on
        return found


def _against_design(pile: Pile) -> list[Links]:
    """The survey that judges, and the design beside it."""
    return [*pile.judged.links(), *pile.design_links()]


def _against_place(pile: Pile) -> list[Links]:
    """The same with the instruction that moves the pile."""
    moved = pile.pile_records.below.has("instructed_easting_m")
    return [*_against_design(pile), *pile.pile_records.links(moved)]


def _of_assessed_survey(kind: Kind, name: str, meaning: str) -> column:
    """A column of surveys, for the survey that judges each pile."""
    return column(kind, meaning)(lambda pile: pile.of_judging(name))


def _of_covering(kind: Kind, name: str, meaning: str) -> column:
    """A column of surveys, for the one on which concrete was placed."""
    return column(kind, meaning)(lambda pile: pile.taken(name, pile.at_covering))


class Pile(Table):
    """One pile with its design, the survey that judges it and the one that concrete covered."""

    subject, record = "survey", "schedule"
    pile_records: Members[PileRecord]
    surveys: Members[Survey]
    judged: Members[Survey]
    heads: Members[CoveredHead]
    runs: Members[Run]
    at_judging: Array  # row of the survey, -1 for none
    at_covering: Array
    covered_day: Array

    easting_m, northing_m, cutoff_level_m = recorded(), recorded(), recorded()
    batter_deg, azimuth_deg = recorded(), recorded()

    @column("number", "easting that the pile should have")
    def design_easting_m(self) -> Column:
        """The instructed point, else the schedule's."""
        moved = self.pile_records.pick(self.pile_records.below.instructed_easting_m, "last")
        return first_known(moved, self.easting_m)

    @column("number", "northing that the pile should have")
    def design_northing_m(self) -> Column:
        """The instructed point, else the schedule's."""
        moved = self.pile_records.pick(self.pile_records.below.instructed_northing_m, "last")
        return first_known(moved, self.northing_m)

    @column("number", "batter that the pile should have")
    def design_batter_deg(self) -> Column:
        """Upright where the schedule gives none, but for an anchor."""
        upright = assume(self, 0.0, "upright: the schedule gives no batter", "degree")
        bare = ~self.batter_deg.known & ~self.is_text("element", "helical anchor")
        return choose(self, (bare, upright), otherwise=self.batter_deg)

    def taken(self, name: str, at: Array) -> Any:
        """A column of surveys at rows ``at``, -1 for none."""
        found = getattr(self.surveys.below, name)
        if isinstance(found, Column):
            return take(self, found, at)
        if isinstance(found, Texts):
            return found.take(at)
        days = np.append(found, np.datetime64("NaT", "us"))
        return days[at]

    def of_judging(self, name: str) -> Any:
        """A column of surveys, for the survey that judges each pile."""
        return self.taken(name, self.at_judging)

    offset_east_mm = measure(evidence=_against_place)(
        lambda pile: pile.of_judging("offset_east_mm")
    )
    offset_north_mm = measure(evidence=_against_place)(
        lambda pile: pile.of_judging("offset_north_mm")
    )
    plan_offset_mm = measure(evidence=_against_place)(
        lambda pile: pile.of_judging("plan_offset_mm")
    )
    axis_angle_deg = measure(evidence=_against_design)(
        lambda pile: pile.of_judging("axis_angle_deg")
    )
    head_level_difference_mm = measure(evidence=_against_design)(
        lambda pile: pile.of_judging("head_level_difference_mm")
    )
    axis_offset_mm = _of_assessed_survey(
        "number", "axis_offset_mm", "greater offset along the grid's axes"
    )
    built_batter_deg = _of_assessed_survey(
        "number", "built_batter_deg", "angle of the axis as built"
    )
    survey_level_m = _of_assessed_survey("number", "level_m", "level of the surveyed point")
    survey_stage = _of_assessed_survey("text", "survey_stage", "stage of the survey that judges")
    surveyed_on = _of_assessed_survey("day", "surveyed_on", "day of the survey that judges")
    reviewed_by = _of_assessed_survey("text", "reviewed_by", "who reviewed the survey that judges")
    reviewed_on = _of_assessed_survey("day", "reviewed_on", "day of that review")
    covered_survey_stage = _of_covering(
        "text", "survey_stage", "stage of the survey on which concrete was placed"
    )
    covered_surveyed_on = _of_covering("day", "surveyed_on", "day of that survey")
    covered_reviewed_by = _of_covering("text", "reviewed_by", "who reviewed that survey")
    covered_reviewed_on = _of_covering("day", "reviewed_on", "day of that review")

    @column("day", "day on which concrete covered the head")
    def covered_on(self) -> Array:
        """As its stage record has it."""
        return self.covered_day

    @evidence("whether a survey judges the pile")
    def survey(self) -> list[Links]:
        """The survey that judges; the runs while none does."""
        return [*self.judged.links(), *self._waiting()]

    @evidence("whether the survey was reviewed before concrete covered the head")
    def survey_review(self) -> list[Links]:
        """Every survey and the day of covering; the runs while no survey judges."""
        return [*self.surveys.links(), *self.heads.links(), *self._waiting()]

    @evidence("whether a head was surveyed before concrete covered it")
    def covered(self) -> list[Links]:
        """Every survey and the day of covering."""
        return [*self.surveys.links(), *self.heads.links()]

    def design_links(self) -> list[Links]:
        """The row of the schedule that gives the design of each pile."""
        piles = np.flatnonzero(self.has("pile_id"))
        return self.links(piles, piles)

    def _waiting(self) -> list[Links]:
        home = np.full(len(self.runs.below), -1)
        home[self.runs.rows] = self.runs.owner
        return self.runs.links((home >= 0) & (np.append(self.at_judging, 0)[home] < 0))


def tables(inputs: Inputs, traced: bool = False) -> Pile:
    """The table of piles with those of their surveys, runs and records."""
    rows = inputs.piles
    pile, surveys = Pile(rows, traced=traced), Survey(inputs.surveys, traced=traced)
    home = row_of(inputs.surveys, rows, "pile_id")
    counts = selection.counting(inputs.surveys, rows, home, inputs.stages)
    pile.at_judging = selection.last_of_piles(inputs.surveys, counts, home, len(rows))
    judging = np.zeros(len(surveys), dtype=bool)
    judging[pile.at_judging[pile.at_judging >= 0]] = True
    surveys.pile, surveys.home, surveys.on = pile, home, inputs.on
    surveys.counting, surveys.judging = counts, judging
    pile.surveys = Members(surveys, pile, home)
    pile.judged = pile.surveys.where(judging)
    pile.pile_records = _members(PileRecord(inputs.pile_records, traced=traced), pile)
    pile.runs = _members(Run(inputs.runs, traced=traced), pile)
    pile.heads = _members(CoveredHead(inputs.covered, traced=traced), pile)
    pile.covered_day = np.full(len(rows), np.datetime64("NaT", "us"))
    pile.covered_day[pile.heads.owner] = inputs.covered.values("stage_on")[pile.heads.rows]
    covered = np.append(pile.covered_day, np.datetime64("NaT", "us"))[home]
    before = counts & (inputs.surveys.values("surveyed_on") <= covered)
    pile.at_covering = selection.last_of_piles(inputs.surveys, before, home, len(rows))
    return pile


def _members(below: Below, pile: Pile) -> Members[Below]:
    return Members(below, pile, row_of(below.rows, pile.rows, "pile_id"))
