"""Criteria of placed grout, its specimens, and work near grout that is fresh."""

from __future__ import annotations

from typing import Annotated, ClassVar

import numpy as np
from pydantic import Field, model_validator

from core.criteria.base import Count, Criterion, Days, Feeds, Length, Positive, StageWord
from core.criteria.cases import Cases
from core.criteria.columns import Array, Columns, Numbers, Texts
from core.criteria.findings import Findings, no_findings, other_findings, rows_by_number
from core.criteria.kinds import FindingKind, finding, makes
from core.criteria.outcomes import (
    SENSE,
    Outcome,
    at_least,
    at_most,
    day_texts,
    outcome,
    without_numbers,
)
from core.criteria.quantities import ROUNDED_UP

NO_LIFT = "no placement is recorded"
NO_DEPTHS = "no lift in which the toe went down is recorded"
TOP_UP = "a top-up, re-grouting or a concession"


class OfGrout(Criterion):
    """A criterion that grouted types alone are asked for."""

    grouted_only = True
    usual_due: ClassVar[StageWord] = "grouted"


class GroutRecorded(OfGrout):
    """Every lift has its volumes, its void can be calculated, and its batches are recorded."""

    @finding(
        "grout_recorded",
        "grout recorded",
        "Placements of a grouted type with all their volumes.",
        blocks="AH",
        responsible="FM",
        closed_by="the placement record, with what was left, spilled and returned",
        measure="net_grout_l",
    )
    @staticmethod
    def grout_recorded(cases: Cases) -> Outcome:
        """Every lift of the pile has its volumes, its void can be worked out, its batches stand."""
        missing, batch = cases.text("grout_missing"), cases.text("unknown_batch")
        found = without_numbers(cases, "met")
        unknown = (cases["batches_unknown"] > 0) & (missing == "")
        found.put(np.isnan(cases["void_l"]), "no evidence")
        found.put(missing != "", "no evidence", note=missing)
        found.put(unknown, "no evidence",
                  note=lambda at: "batch " + batch[at] + " is not on record")  # fmt: skip
        found.put(~(cases["lifts"] > 0), "no evidence", note=NO_LIFT)
        return found


class GroutTake(OfGrout):
    """Minimum take ratio of each lift and at each lift's end, and the ratio that is noted."""

    min_cumulative_ratio: Positive = Field(description="minimum at the end of each lift")
    min_lift_ratio: Positive = Field(description="minimum of each lift")
    alarm_ratio: Positive = Field(description="of the whole pile; more is noted")

    @finding(
        "grout_take",
        "grout take",
        "Minimum over the lifts of cumulative net grout over cumulative void.",
        blocks="AC",
        responsible="DES",
        closed_by=TOP_UP,
        measure="net_grout_l",
        sense="at least",
        unit_column="min_cumulative_ratio",
    )
    @staticmethod
    def cumulative_take(cases: Cases) -> Outcome:
        """Minimum of the cumulative ratios at the ends of the lifts, and of the whole pile."""
        limit = cases["min_cumulative_ratio_of_criterion"]
        return _minimum_take(
            cases,
            cases["min_cumulative_ratio"],
            limit,
            "at the end of ",
            "lift_of_min_cumulative_ratio",
        )

    @finding(
        "grout_take_in_lift",
        "grout take in a lift",
        "Net grout of one lift over the void that opened during it, the minimum of the lifts.",
        blocks="AC",
        responsible="DES",
        closed_by=TOP_UP,
        measure="min_lift_ratio",
        sense="at least",
        unit_column="min_lift_ratio",
    )
    @staticmethod
    def lift_take(cases: Cases) -> Outcome:
        """Minimum ratio of one lift. A lift's volume is not the take at the lift's depth."""
        limit = cases["min_lift_ratio_of_criterion"]
        return _minimum_take(cases, cases["min_lift_ratio"], limit, "", "lift_of_min_ratio")

    @finding(
        "grout_take_above_alarm",
        "grout take above the alarm",
        "Net grout over the void of the whole pile: grout lost into a void, or a miscount.",
        blocks="P",
        responsible="DES",
        closed_by="the engineer's note",
        measure="net_grout_l",
        sense="at most",
        unit_column="take_ratio",
    )
    @staticmethod
    def take_above_alarm(cases: Cases) -> Outcome:
        """Ratio of the whole pile above the project's alarm; only ever *noted*."""
        measured, limit = cases["take_ratio"], cases["alarm_ratio"]
        found = outcome(cases, at_most(measured, limit), measured, limit)
        found.put(found.has("not met"), "noted")
        found.drop(np.isnan(measured))
        return found


def _minimum_take(
    cases: Cases, measured: Numbers, limit: Numbers, before: str, lift: str
) -> Outcome:
    found = outcome(cases, at_least(measured, limit), measured, limit)
    named = cases.text(lift)
    found.put(named != "", part=named)
    found.put((named != "") & ~np.isnan(measured), note=lambda at: before + named[at])
    unknown = (cases["lifts_unknown"] > 0) | np.isnan(cases["take_ratio"])
    unknown &= ~found.has("not met")
    found.put(unknown, "no evidence", note=cases.text("grout_missing"))
    found.put(unknown & ~(cases["lifts"] > 0), note=NO_LIFT)
    return found


class GroutLiftsToToe(OfGrout):
    """Maximum gap between lifts, from the top of the column to the toe.

    Types that are grouted through the bar declare it not required.
    """

    max_gap_mm: Annotated[Count, ROUNDED_UP] = Field(
        description="about one reading interval; not required when grouted through the bar",
        examples=["300 mm", "1 ft"],
    )

    @finding(
        "grout_lifts_to_toe",
        "grout lifts to the toe",
        "Widest gap between the lifts, from where the grout column begins to the toe.",
        blocks="AH",
        responsible="FM",
        closed_by="the missing lift from the crew's sheet, or its depths corrected",
        measure="lift_gap_mm",
        sense="at most",
        unit_column="lift_gap_mm",
        since=2,
    )
    @staticmethod
    def lifts_to_toe(cases: Cases) -> Outcome:
        """Widest gap between lifts down to the toe; one too wide is missing evidence."""
        measured, limit = cases["lift_gap_mm"], cases["max_gap_mm"]
        found = outcome(cases, at_most(measured, limit), measured, limit)
        found.put(found.has("not met"), "no evidence")
        open_ = found.has("no evidence")
        if not open_.any():
            return found
        above, below = cases.text("lift_above_gap"), cases.text("lift_below_gap")
        under, over = open_ & (above != ""), open_ & (below != "")
        found.put(open_, note=NO_DEPTHS)
        found.put(over, note=lambda at: "no lift recorded above " + below[at], part=below)
        down = " down to the toe"
        found.put(under, note=lambda at: "no lift recorded below " + above[at] + down, part=above)
        found.put(
            under & over,
            note=lambda at: "no lift recorded between " + above[at] + " and " + below[at],
            part=lambda at: above[at] + " to " + below[at],
        )
        missing = cases.text("lift_gap_missing")
        found.put(open_ & (missing != "") & (np.isnan(measured) | (above == "")), note=missing)
        found.put(open_ & ~(cases["lifts"] > 0), note=NO_LIFT)
        return found


class GroutDensity(OfGrout):
    """Band of the density of each batch."""

    min_kg_m3: Positive = Field(description="minimum", examples=["1850 kg/m3", "115 lb/ft3"])
    max_kg_m3: Positive = Field(description="maximum", examples=["1930 kg/m3", "120 lb/ft3"])

    @model_validator(mode="after")
    def _band(self) -> GroutDensity:
        if self.min_kg_m3 > self.max_kg_m3:
            minimum, maximum = map(self.key_in_file, ("min_kg_m3", "max_kg_m3"))
            raise ValueError(f"{minimum} is above {maximum}")
        return self

    @finding(
        "grout_density",
        "grout density",
        "Density of every batch placed in the pile.",
        blocks="A",
        responsible="QC",
        closed_by="a note on the batch, or a concession",
        measure="batches",
        unit_column="density_kg_m3",
    )
    @staticmethod
    def density(cases: Cases) -> Outcome:
        """Density of every batch within the band."""
        low, high = cases["min_kg_m3"], cases["max_kg_m3"]
        return _in_band(cases, ("density_kg_m3", "density"), low, high)


def _in_band(cases: Cases, names: tuple[str, str], low: Numbers, high: Numbers) -> Outcome:
    """The value nearest to its end of the band, or furthest beyond it, with its batch."""
    column, name = names
    minimum, maximum = cases[f"min_{column}"], cases[f"max_{column}"]
    upper = (maximum - high) > (low - minimum)
    measured, limit = np.where(upper, maximum, minimum), np.where(upper, high, low)
    met = at_least(minimum, low) & at_most(maximum, high)
    found = outcome(cases, met, measured, limit)
    sense = np.where(upper, SENSE["at most"], SENSE["at least"])
    found.sense = np.where(np.isnan(measured), SENSE[""], sense).astype(np.int8)
    batch = np.where(upper, cases.text(f"max_{name}_batch"), cases.text(f"min_{name}_batch"))
    _put_batch(found, batch)
    found.put((cases[f"{name}_unknown"] > 0) & found.has("met"), "no evidence")
    found.put(found.has("no evidence"), note=f"a batch has no {name}")
    found.put(~(cases["lifts"] > 0), note=NO_LIFT)
    return found


def _put_batch(found: Outcome, batch: Texts) -> None:
    """Name the batch that each finding is about."""
    named = batch != ""
    found.put(named, note=lambda at: "batch " + batch[at], part=lambda at: "batch " + batch[at])


class GroutFlow(OfGrout):
    """Band of the time of efflux of each batch."""

    min_s: Positive = Field(description="minimum", examples=["10 s"])
    max_s: Positive = Field(description="maximum", examples=["25 s"])

    @model_validator(mode="after")
    def _band(self) -> GroutFlow:
        if self.min_s > self.max_s:
            minimum, maximum = map(self.key_in_file, ("min_s", "max_s"))
            raise ValueError(f"{minimum} is above {maximum}")
        return self

    @finding(
        "grout_flow",
        "grout flow",
        "Time of efflux of every batch placed in the pile.",
        blocks="A",
        responsible="QC",
        closed_by="a note on the batch, or a concession",
        measure="batches",
        unit_column="flow_s",
    )
    @staticmethod
    def flow(cases: Cases) -> Outcome:
        """Time of efflux of every batch within the band."""
        return _in_band(cases, ("flow_s", "flow"), cases["min_s"], cases["max_s"])


class GroutBatchAge(OfGrout):
    """Maximum age of a batch when its placement ends."""

    max_h: Positive = Field(description="maximum age", examples=["1.5 h"])

    @finding(
        "batch_age_at_placement",
        "batch age at placement",
        "Age of a batch when its placement ended.",
        blocks="A",
        responsible="DES",
        closed_by="the times corrected from the batch sheet, or the engineer's decision",
        measure="batch_age_h",
        sense="at most",
        unit_column="batch_age_h",
    )
    @staticmethod
    def batch_age(cases: Cases) -> Outcome:
        """Maximum age of a batch when a placement of it ended."""
        measured, limit = cases["batch_age_h"], cases["max_h"]
        found = outcome(cases, at_most(measured, limit), measured, limit)
        _put_batch(found, cases.text("oldest_batch"))
        found.put((cases["age_unknown"] > 0) & found.has("met"), "no evidence")
        note = "the time of mixing or the end of a placement is not recorded"
        found.put(found.has("no evidence"), note=note)
        found.put(~(cases["lifts"] > 0), note=NO_LIFT)
        return found


class GroutSampling(OfGrout):
    """How many piles a sample group may stand for, and how many specimens it has."""

    max_piles_per_group: Count = Field(description="maximum number of piles")
    min_specimens_per_group: Count = Field(description="minimum number of specimens")
    every_day: bool = Field(
        description="whether each day of placing needs a specimen", examples=[True]
    )

    @finding(
        "grout_sampling",
        "grout sampling",
        "A sample group represents the grout of the pile, as often as the project requires.",
        blocks="AH",
        responsible="DES",
        closed_by="the group's list of piles completed, or a concession",
        measure="sample_groups",
    )
    @staticmethod
    def sampling(cases: Cases) -> Outcome:
        """The pile stands in a sample group that is small enough, with enough specimens."""
        piles, most = cases["piles_per_group"], cases["max_piles_per_group"]
        taken, minimum = cases["specimens_per_group"], cases["min_specimens_per_group"]
        none = ~(cases["sample_groups"] > 0)
        crowded = ~at_most(piles, most)
        few = ~crowded & ~at_least(taken, minimum)
        measured, limit = np.where(few, taken, piles), np.where(few, minimum, most)
        measured, limit = (np.where(none, np.nan, values) for values in (measured, limit))
        found = outcome(cases, ~crowded & ~few, measured, limit)
        found.put(crowded, note="piles in a group of the pile")
        found.put(few, note="specimens in a group of the pile")
        bare = cases.is_true("every_day") & (cases["days_without_group"] > 0) & found.has("met")
        day = cases.day("day_without_group")
        found.put(bare, "no evidence",
                  note=lambda at: "no specimen was taken on " + day_texts(day[at]))  # fmt: skip
        found.put(none, "no evidence", note="the pile is in no sample group")
        return found


class GroutStrength(OfGrout):
    """Minimum strength at an age, and how many days after that age the result is overdue."""

    min_mpa: Positive = Field(
        description="minimum of a single value", examples=["25 MPa", "3600 psi"]
    )
    age_days: Annotated[Count, Feeds("strength_age_days")] = Field(
        description="age at which strength is compared", examples=["7 days"]
    )
    overdue_after_days: Days = Field(
        description="days after that age until the result is overdue", examples=["3 days"]
    )

    @finding(
        "grout_strength",
        "grout strength",
        "Strength of the pile's sample groups at the age that the project names.",
        blocks="AC",
        responsible="DES",
        closed_by="a test at a later age, a core or a concession, for every pile of the group",
        measure="grout_strength_mpa",
        sense="at least",
        unit_column="grout_strength_mpa",
    )
    @staticmethod
    def strength(cases: Cases) -> Outcome:
        """The minimum single value at the criterion's age; one below touches the whole group."""
        measured, limit = cases["grout_strength_mpa"], cases["min_mpa"]
        found = outcome(cases, at_least(measured, limit), measured, limit)
        weakest = cases.text("weakest_specimen")
        found.put(weakest != "", part=weakest)
        found.put(~np.isnan(measured), note=lambda at: "minimum single value: " + weakest[at])
        short = found.has("not met")
        missing = (cases["results_missing"] > 0) & ~short
        grace = cases["overdue_after_days"]
        overdue = ~at_most(cases["results_due_days"], grace)
        found.due_on = np.where(
            missing, cases.day("results_due_on") + _whole_days(grace), np.datetime64("NaT", "us")
        )
        found.put(missing & ~overdue, "waiting", note="a result is not in yet")
        found.put(missing & overdue, "no evidence", note="a result is overdue")
        age = cases["age_days"]
        found.put(
            (cases["groups_untested"] > 0) & ~short, "no evidence",
            note=lambda at: [f"a group has no specimen of {days:.0f} days" for days in age[at]],
        )  # fmt: skip
        none = ~(cases["sample_groups"] > 0)
        found.put(none, "no evidence", note="the pile is in no sample group")
        return found


def _whole_days(days: Numbers) -> Array:
    return np.nan_to_num(days).astype("timedelta64[D]")


class GroutLevel(OfGrout):
    """Maximum drop of the grout in the head that needs no top-up."""

    max_drop_mm: Length = Field(description="maximum drop", examples=["100 mm", "4 in"])

    @finding(
        "grout_level_after_placing",
        "grout level after placing",
        "How far the grout fell in the head and was not topped up.",
        blocks="A",
        responsible="FM",
        closed_by="the top-up recorded, or the engineer's decision",
        measure="level_drop_mm",
        sense="at most",
        unit_column="level_drop_mm",
    )
    @staticmethod
    def level_after_placing(cases: Cases) -> Outcome:
        """Maximum fall of the grout in the head that nobody topped up."""
        measured, limit = cases["level_drop_mm"], cases["max_drop_mm"]
        found = outcome(cases, at_most(measured, limit), measured, limit)
        unknown = ~cases.is_true("level_recorded") & ~found.has("not met")
        note = "the level after the last lift is not recorded"
        found.put(unknown, "no evidence", note=note)
        found.put(~(cases["lifts"] > 0), note=NO_LIFT)
        return found


class GroutSet(OfGrout):
    """Hours after the end of a placement at which its grout has taken its initial set."""

    initial_set_h: Positive = Field(description="time of initial set", examples=["3 h"])

    @finding(
        "turned_after_initial_set",
        "turned after initial set",
        "A grouted pile turned after the initial set of its last placement.",
        blocks="AC",
        responsible="DES",
        closed_by="the engineer's decision",
        measure="turned_h",
        sense="at most",
        unit_column="turned_h",
    )
    @staticmethod
    def turned_after_set(cases: Cases) -> Outcome:
        """Hours from the end of the last earlier placement until the pile turned again.

        Where times are missing, only what the days prove or exclude is decided.
        """
        limit = cases["initial_set_h"]
        proven, possible = cases["turned_h"], cases["turned_possible_h"]
        turned = ~at_most(proven, limit) & ~np.isnan(proven)
        unknown = ~turned & ((possible > limit) & ~at_most(possible, limit))
        unknown |= ~turned & (cases["untimed_placements"] > 0)
        found = outcome(cases, ~turned, proven, limit)
        found.put(~turned, "met")
        found.put(np.isnan(proven), note="not turned after a placement, by the record")
        found.put(turned, "not met")
        found.put(unknown, "no evidence", note="times of runs or placements are not recorded")
        found.put(~(cases["lifts"] > 0), "no evidence", note=NO_LIFT)
        return found


class FreshNeighbours(OfGrout):
    """Distance to a pile with fresh grout within which nobody works.

    Source: IBC 2018, 1810.4.10 (read): no drilling beside fresh grout. The distance and the hours
    are the project's, with their clause.
    """

    usual_due = "installed"

    within_mm: Annotated[Positive, Feeds("neighbour_mm")] = Field(
        description="distance between axes in plan within which fresh grout matters",
        examples=["1500 mm", "5 ft"],
    )
    min_h: Positive = Field(description="minimum age of the grout", examples=["24 h"])

    @finding(
        "installed_near_fresh_grout",
        "installed near fresh grout",
        "A pile installed close to another whose grout was still fresh.",
        blocks="A",
        responsible="DES",
        closed_by="the engineer's decision on both piles",
        measure="fresh_h",
        sense="at least",
        unit_column="fresh_h",
    )
    @staticmethod
    def fresh_neighbour(cases: Cases) -> Outcome:
        """Age of the youngest grout close by while the pile was worked."""
        limit = cases["min_h"]
        proven, possible = cases["fresh_h"], cases["fresh_possible_h"]
        fresh = ~at_least(proven, limit) & ~np.isnan(proven)
        unknown = ~fresh & ~at_least(possible, limit) & ~np.isnan(possible)
        found = outcome(cases, ~fresh, proven, limit)
        found.put(~fresh, "met")
        found.put(fresh, "not met")
        neighbour, untimed = (
            cases.text("fresh_neighbour"),
            ": times of runs or placements are not recorded",
        )
        near, none = neighbour != "", "no grout within the distance"
        found.put(~near, note=none)
        found.put(
            near, note=lambda at: "pile " + neighbour[at], part=lambda at: "pile " + neighbour[at]
        )
        found.put(unknown, "no evidence", note=none + untimed)
        found.put(unknown & near, note=lambda at: "pile " + neighbour[at] + untimed)
        nowhere = np.isnan(cases["easting_m"]) | np.isnan(cases["northing_m"])
        found.put(nowhere, "no evidence", note="the pile has no place in plan")
        return found


GROUP_WITHOUT_SPECIMENS = FindingKind(
    "sample_group_without_specimens",
    "sample group without specimens",
    "A sample group lists piles, and no specimen of that group is recorded.",
    "H",
    "QC",
    "the specimens of the group, or its number corrected",
    since=2,
)


@makes(GROUP_WITHOUT_SPECIMENS, of=("rows_without_parent",))
def unknown_group_findings(rows: Columns) -> Findings:
    """One finding per sample group without specimens; ``rows`` as in ``rows_by_number``."""
    notes = rows_by_number(rows, "sample_group_id")
    return other_findings(
        list(notes), GROUP_WITHOUT_SPECIMENS, "no evidence", list(notes.values()), "unknown",
        subject_kind="sample group",
    )  # fmt: skip


PLACEMENT_WITHOUT_RUN = FindingKind(
    "placement_without_run",
    "placement without a run",
    "Grout placements whose run was withdrawn or removed; they are not assessed.",
    "AH",
    "FM",
    "the run imported again, or the placements withdrawn too",
)


@makes(PLACEMENT_WITHOUT_RUN, of=("grout_placements",))
def orphan_findings(placements: Columns) -> Findings:
    """Placements that stand although their run no longer does, one finding per pile."""
    lost = np.flatnonzero(np.isnan(placements.numbers("run_order")))
    if not len(lost):
        return no_findings()
    runs: dict[str, list[str]] = {}
    pairs = zip(*(placements.text(name)[lost] for name in ("pile_id", "run_no")), strict=True)
    for pile, run_no in pairs:
        runs.setdefault(pile, []).append(run_no)
    piles = sorted(runs)
    return other_findings(
        piles,
        PLACEMENT_WITHOUT_RUN,
        "no evidence",
        [f"{len(runs[pile])} placements, the first of run {runs[pile][0]}" for pile in piles],
        "lost_grout",
        run=[runs[pile][0] for pile in piles],
    )
