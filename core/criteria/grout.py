# mypy: disable-error-code="no-any-return,arg-type,unused-ignore"
"""Criteria of placed grout, its specimens, and work near grout that is fresh."""

from __future__ import annotations

from typing import Annotated, ClassVar

import numpy as np
import pandas as pd
from pydantic import Field, model_validator

from core.criteria.as_frames import Cases, Outcome, at_least, at_most, other_findings, outcome
from core.criteria.base import Count, Criterion, Days, Feeds, Length, Positive, StageWord
from core.criteria.columns import FrameColumns
from core.criteria.kinds import FindingKind, finding, makes
from core.criteria.piles import rows_by_number
from core.criteria.quantities import ROUNDED_UP

NO_LIFT = "no placement is recorded"
NO_DEPTHS = "no lift in which the toe went down is recorded"
TOP_UP = "a top-up, re-grouting or a concession"


class OfGrout(Criterion):
    """A criterion that grouted types alone are asked for."""

    grouted_alone = True
    usual_due: ClassVar[StageWord] = "grouted"


class GroutRecorded(OfGrout):
    """Every lift has its volumes, its void can be calculated, and its batches are recorded."""

    @finding(
        "grout_recorded",
        "grout recorded",
        "Placements of a grouted type with all their volumes.",
        blocks="AH",
        owner="FM",
        clears="the placement record, with what was left, spilled and returned",
        measure="net_grout_l",
    )
    @staticmethod
    def grout_recorded(cases: Cases) -> Outcome:
        """Every lift of the pile has its volumes, its void can be worked out, its batches stand."""
        result = pd.DataFrame({"measured": np.nan, "limit_value": np.nan}, index=cases.index)
        none = cases["lifts"].fillna(0).eq(0)
        unknown = cases["batches_unknown"].fillna(0).gt(0)
        note = cases["grout_missing"].fillna("")
        lost = "batch " + cases["unknown_batch"].fillna("") + " is not on record"
        note = note.mask(note.eq("") & unknown, lost).mask(none, NO_LIFT)
        whole = note.eq("") & cases["void_l"].notna()
        result["result"] = np.where(whole, "met", "no evidence")
        result["note"] = note
        return result


class GroutTake(OfGrout):
    """Minimum take ratio of each lift and at each lift's end, and the ratio that is noted."""

    least_cumulative_ratio: Positive = Field(description="minimum at the end of each lift")
    least_lift_ratio: Positive = Field(description="minimum of each lift")
    alarm_ratio: Positive = Field(description="of the whole pile; more is noted")

    @finding(
        "grout_take",
        "grout take",
        "Cumulative net grout over the cumulative void at the end of each lift, the least of them.",
        blocks="AC",
        owner="DES",
        clears=TOP_UP,
        measure="net_grout_l",
        sense="at least",
        unit_column="least_cumulative_ratio",
    )
    @staticmethod
    def cumulative_take(cases: Cases) -> Outcome:
        """Least of the cumulative ratios at the ends of the lifts, and of the whole pile."""
        limit = cases["least_cumulative_ratio_of_criterion"]
        return _least_take(
            cases, cases["least_cumulative_ratio"], limit, "at the end of ", "thinnest_at"
        )

    @finding(
        "grout_take_in_lift",
        "grout take in a lift",
        "Net grout of one lift over the void that opened during it, the least of the lifts.",
        blocks="AC",
        owner="DES",
        clears=TOP_UP,
        measure="least_lift_ratio",
        sense="at least",
        unit_column="least_lift_ratio",
    )
    @staticmethod
    def lift_take(cases: Cases) -> Outcome:
        """Least ratio of one lift. A lift's volume is not the take at the lift's depth."""
        limit = cases["least_lift_ratio_of_criterion"]
        return _least_take(cases, cases["least_lift_ratio"], limit, "", "thinnest_lift")

    @finding(
        "grout_take_above_alarm",
        "grout take above the alarm",
        "Net grout over the void of the whole pile: grout lost into a void, or a miscount.",
        blocks="P",
        owner="DES",
        clears="the engineer's note",
        measure="net_grout_l",
        sense="at most",
        unit_column="take_ratio",
    )
    @staticmethod
    def take_above_alarm(cases: Cases) -> Outcome:
        """Ratio of the whole pile above the project's alarm; only ever *noted*."""
        measured, limit = cases["take_ratio"], cases["alarm_ratio"]
        result = outcome(cases, at_most(measured, limit), measured, limit)
        result["result"] = result["result"].replace("not met", "noted").mask(measured.isna(), None)
        return result


def _least_take(
    cases: Cases, measured: pd.Series, limit: pd.Series, before: str, lift: str
) -> Outcome:
    result = outcome(cases, at_least(measured, limit), measured, limit)
    named = cases[lift].fillna("")
    result["note"] = (before + named).where(named.ne("") & measured.notna(), "")
    result["part"] = named
    unknown = cases["lifts_unknown"].fillna(0).gt(0) | cases["take_ratio"].isna()
    unknown &= result["result"].ne("not met")
    result.loc[unknown, "result"] = "no evidence"
    why = cases["grout_missing"].fillna("")
    why = why.mask(cases["lifts"].fillna(0).eq(0), NO_LIFT)
    result.loc[unknown, "note"] = why[unknown]
    return result


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
        owner="FM",
        clears="the missing lift from the crew's sheet, or its depths corrected",
        measure="lift_gap_mm",
        sense="at most",
        unit_column="lift_gap_mm",
        since=2,
    )
    @staticmethod
    def lifts_to_toe(cases: Cases) -> Outcome:
        """Widest gap between lifts down to the toe; one too wide is missing evidence."""
        measured, limit = cases["lift_gap_mm"], cases["max_gap_mm"].astype(float)
        result = outcome(cases, at_most(measured, limit), measured, limit)
        result["result"] = result["result"].replace("not met", "no evidence")
        above, below = cases["lift_above_gap"].fillna(""), cases["lift_below_gap"].fillna("")
        note = "no lift recorded between " + above + " and " + below
        note = note.mask(below.eq(""), "no lift recorded below " + above + " down to the toe")
        note = note.mask(above.eq(""), "no lift recorded above " + below)
        note = note.mask(above.eq("") & below.eq(""), NO_DEPTHS)
        missing = cases["lift_gap_missing"].fillna("")
        note = note.mask(missing.ne("") & (measured.isna() | above.eq("")), missing)
        note = note.mask(cases["lifts"].fillna(0).eq(0), NO_LIFT)
        result["note"] = note.where(result["result"].eq("no evidence"), "")
        both = above.ne("") & below.ne("")
        between = above + both.map({True: " to ", False: ""}) + below
        result["part"] = between.where(result["result"].eq("no evidence"), "")
        return result


class GroutDensity(OfGrout):
    """Band of the density of each batch."""

    least_kg_m3: Positive = Field(description="minimum", examples=["1850 kg/m3", "115 lb/ft3"])
    greatest_kg_m3: Positive = Field(description="maximum", examples=["1930 kg/m3", "120 lb/ft3"])

    @model_validator(mode="after")
    def _band(self) -> GroutDensity:
        if self.least_kg_m3 > self.greatest_kg_m3:
            least, greatest = map(self.key_in_file, ("least_kg_m3", "greatest_kg_m3"))
            raise ValueError(f"{least} is above {greatest}")
        return self

    @finding(
        "grout_density",
        "grout density",
        "Density of every batch placed in the pile.",
        blocks="A",
        owner="QC",
        clears="a note on the batch, or a concession",
        measure="batches",
        unit_column="density_kg_m3",
    )
    @staticmethod
    def density(cases: Cases) -> Outcome:
        """Density of every batch within the band."""
        low, high = cases["least_kg_m3"], cases["greatest_kg_m3"]
        return _in_band(cases, ("density_kg_m3", "density"), low, high)


def _in_band(cases: Cases, names: tuple[str, str], low: pd.Series, high: pd.Series) -> Outcome:
    """The value nearest to its end of the band, or furthest beyond it, with its batch."""
    column, name = names
    least, greatest = cases[f"least_{column}"], cases[f"greatest_{column}"]
    low, high = low.astype(float), high.astype(float)
    upper = (greatest - high) > (low - least)
    measured, limit = greatest.where(upper, least), high.where(upper, low)
    met = at_least(least, low) & at_most(greatest, high)
    result = outcome(cases, met, measured, limit)
    result["sense"] = upper.map({True: "at most", False: "at least"}).where(measured.notna(), "")
    batch = cases[f"greatest_{name}_batch"].where(upper, cases[f"least_{name}_batch"])
    result["note"] = ("batch " + batch).fillna("")
    result["part"] = result["note"]
    unknown = cases[f"{name}_unknown"].fillna(0).gt(0) & result["result"].eq("met")
    result.loc[unknown, "result"] = "no evidence"
    open_ = result["result"].eq("no evidence")
    result.loc[open_, "note"] = f"a batch has no {name}"
    result.loc[cases["lifts"].fillna(0).eq(0), "note"] = NO_LIFT
    return result


class GroutFlow(OfGrout):
    """Band of the time of efflux of each batch."""

    least_s: Positive = Field(description="minimum", examples=["10 s"])
    greatest_s: Positive = Field(description="maximum", examples=["25 s"])

    @model_validator(mode="after")
    def _band(self) -> GroutFlow:
        if self.least_s > self.greatest_s:
            least, greatest = map(self.key_in_file, ("least_s", "greatest_s"))
            raise ValueError(f"{least} is above {greatest}")
        return self

    @finding(
        "grout_flow",
        "grout flow",
        "Time of efflux of every batch placed in the pile.",
        blocks="A",
        owner="QC",
        clears="a note on the batch, or a concession",
        measure="batches",
        unit_column="flow_s",
    )
    @staticmethod
    def flow(cases: Cases) -> Outcome:
        """Time of efflux of every batch within the band."""
        return _in_band(cases, ("flow_s", "flow"), cases["least_s"], cases["greatest_s"])


class GroutBatchAge(OfGrout):
    """Maximum age of a batch when its placement ends."""

    greatest_h: Positive = Field(description="maximum age", examples=["1.5 h"])

    @finding(
        "batch_age_at_placement",
        "batch age at placement",
        "Age of a batch when its placement ended.",
        blocks="A",
        owner="DES",
        clears="the times corrected from the batch sheet, or the engineer's decision",
        measure="batch_age_h",
        sense="at most",
        unit_column="batch_age_h",
    )
    @staticmethod
    def batch_age(cases: Cases) -> Outcome:
        """Greatest age of a batch when a placement of it ended."""
        measured, limit = cases["batch_age_h"], cases["greatest_h"].astype(float)
        result = outcome(cases, at_most(measured, limit), measured, limit)
        result["note"] = ("batch " + cases["oldest_batch"]).fillna("")
        result["part"] = result["note"]
        unknown = cases["age_unknown"].fillna(0).gt(0) & result["result"].eq("met")
        result.loc[unknown, "result"] = "no evidence"
        open_ = result["result"].eq("no evidence")
        result.loc[open_, "note"] = "the time of mixing or the end of a placement is not recorded"
        result.loc[cases["lifts"].fillna(0).eq(0), "note"] = NO_LIFT
        return result


class GroutSampling(OfGrout):
    """How many piles a sample group may stand for, and how many specimens it has."""

    greatest_piles_per_group: Count = Field(description="maximum number of piles")
    least_specimens_per_group: Count = Field(description="minimum number of specimens")
    every_day: bool = Field(
        description="whether each day of placing needs a specimen", examples=[True]
    )

    @finding(
        "grout_sampling",
        "grout sampling",
        "A sample group stands for the grout of the pile, as often as the project asks.",
        blocks="AH",
        owner="DES",
        clears="the group's list of piles completed, or a concession",
        measure="sample_groups",
    )
    @staticmethod
    def sampling(cases: Cases) -> Outcome:
        """The pile stands in a sample group that is small enough, with enough specimens."""
        piles, most = cases["piles_per_group"], cases["greatest_piles_per_group"].astype(float)
        taken, least = (
            cases["specimens_per_group"],
            cases["least_specimens_per_group"].astype(float),
        )
        crowded = ~at_most(piles, most)
        few = ~crowded & ~at_least(taken, least)
        result = outcome(cases, ~crowded & ~few, piles.mask(few, taken), most.mask(few, least))
        told = pd.Series("", index=cases.index)
        told = told.mask(crowded, "piles in a group of the pile")
        result["note"] = told.mask(few, "specimens in a group of the pile")
        bare = cases["every_day"].eq(True) & cases["days_without_group"].fillna(0).gt(0)
        bare &= result["result"].eq("met")
        day = cases["day_without_group"].astype("datetime64[us]").dt.strftime("%Y-%m-%d")
        result.loc[bare, "result"] = "no evidence"
        result.loc[bare, "note"] = "no specimen was taken on " + day[bare]
        none = cases["sample_groups"].fillna(0).eq(0)
        result.loc[none, ["measured", "limit_value"]] = np.nan
        result.loc[none, "result"] = "no evidence"
        result.loc[none, "note"] = "the pile is in no sample group"
        return result


class GroutStrength(OfGrout):
    """Minimum strength at an age, and how many days after that age the result is overdue."""

    least_mpa: Positive = Field(
        description="minimum of a single value", examples=["25 MPa", "3600 psi"]
    )
    age_days: Annotated[Count, Feeds("strength_age_days")] = Field(
        description="age at which it is compared", examples=["7 days"]
    )
    overdue_after_days: Days = Field(
        description="days after that age until the result is overdue", examples=["3 days"]
    )

    @finding(
        "grout_strength",
        "grout strength",
        "Strength of the pile's sample groups at the age that the project names.",
        blocks="AC",
        owner="DES",
        clears="a test at a later age, a core or a concession; it touches every pile of the group",
        measure="grout_strength_mpa",
        sense="at least",
        unit_column="grout_strength_mpa",
    )
    @staticmethod
    def strength(cases: Cases) -> Outcome:
        """The least single value at the criterion's age; one below touches the whole group."""
        measured, limit = cases["grout_strength_mpa"], cases["least_mpa"].astype(float)
        result = outcome(cases, at_least(measured, limit), measured, limit)
        result["part"] = cases["weakest_specimen"].fillna("")
        result["note"] = "least single value: " + result["part"]
        short = result["result"].eq("not met")
        result.loc[measured.isna(), "note"] = ""
        missing = cases["results_missing"].fillna(0).gt(0) & ~short
        late, grace = cases["results_due_days"], cases["overdue_after_days"].astype(float)
        overdue = ~at_most(late, grace)
        result["due_on"] = (cases["results_due_on"] + pd.to_timedelta(grace, unit="D")).where(
            missing
        )
        result.loc[missing & ~overdue, ["result", "note"]] = ["waiting", "a result is not in yet"]
        result.loc[missing & overdue, ["result", "note"]] = ["no evidence", "a result is overdue"]
        untested = cases["groups_untested"].fillna(0).gt(0) & ~short
        result.loc[untested, "result"] = "no evidence"
        age = cases["age_days"].astype("Float64").astype("Int64").astype("str")
        result.loc[untested, "note"] = "a group has no specimen of " + age[untested] + " days"
        none = cases["sample_groups"].fillna(0).eq(0)
        result.loc[none, "result"] = "no evidence"
        result.loc[none, "note"] = "the pile is in no sample group"
        return result


class GroutLevel(OfGrout):
    """Maximum drop of the grout in the head that needs no top-up."""

    greatest_drop_mm: Length = Field(description="maximum drop", examples=["100 mm", "4 in"])

    @finding(
        "grout_level_after_placing",
        "grout level after placing",
        "How far the grout fell in the head and was not topped up.",
        blocks="A",
        owner="FM",
        clears="the top-up recorded, or the engineer's decision",
        measure="level_drop_mm",
        sense="at most",
        unit_column="level_drop_mm",
    )
    @staticmethod
    def level_after_placing(cases: Cases) -> Outcome:
        """Greatest fall of the grout in the head that nobody topped up."""
        measured, limit = cases["level_drop_mm"], cases["greatest_drop_mm"].astype(float)
        result = outcome(cases, at_most(measured, limit), measured, limit)
        unknown = ~cases["level_recorded"].eq(True) & result["result"].ne("not met")
        result.loc[unknown, "result"] = "no evidence"
        result.loc[unknown, "note"] = "the level after the last lift is not recorded"
        result.loc[cases["lifts"].fillna(0).eq(0), "note"] = NO_LIFT
        return result


class GroutSet(OfGrout):
    """Hours after the end of a placement at which its grout has taken its initial set."""

    initial_set_h: Positive = Field(description="time of initial set", examples=["3 h"])

    @finding(
        "turned_after_initial_set",
        "turned after initial set",
        "A grouted pile turned after the initial set of its last placement.",
        blocks="AC",
        owner="DES",
        clears="the engineer's decision",
        measure="turned_h",
        sense="at most",
        unit_column="turned_h",
    )
    @staticmethod
    def turned_after_set(cases: Cases) -> Outcome:
        """Hours from the end of the last earlier placement until the pile turned again.

        Where times are missing, only what the days prove or exclude is decided.
        """
        limit = cases["initial_set_h"].astype(float)
        proven, possible = cases["turned_h"], cases["turned_possible_h"]
        turned = ~at_most(proven, limit) & proven.notna()
        unknown = ~turned & ((possible > limit) & ~at_most(possible, limit))
        unknown |= ~turned & cases["untimed_placements"].fillna(0).gt(0)
        result = outcome(cases, ~turned, proven, limit)
        result["result"] = "met"
        result.loc[proven.isna(), "note"] = "not turned after a placement, by the record"
        result.loc[turned, "result"] = "not met"
        result.loc[unknown, "result"] = "no evidence"
        result.loc[unknown, "note"] = "times of runs or placements are not recorded"
        none = cases["lifts"].fillna(0).eq(0)
        result.loc[none, ["result", "note"]] = ["no evidence", NO_LIFT]
        return result


class FreshNeighbours(OfGrout):
    """Distance to a pile with fresh grout within which nobody works.

    Source: IBC 2018, 1810.4.10 (read): no drilling beside fresh grout. The distance and the hours
    are the project's, with their clause.
    """

    usual_due = "installed"

    within_mm: Annotated[Positive, Feeds("neighbour_mm")] = Field(
        description="between axes, in plan", examples=["1500 mm", "5 ft"]
    )
    least_h: Positive = Field(description="minimum age of the grout", examples=["24 h"])

    @finding(
        "installed_near_fresh_grout",
        "fresh neighbour",
        "A pile installed close to another whose grout was still fresh.",
        blocks="A",
        owner="DES",
        clears="the engineer's decision on both piles",
        measure="fresh_h",
        sense="at least",
        unit_column="fresh_h",
    )
    @staticmethod
    def fresh_neighbour(cases: Cases) -> Outcome:
        """Age of the youngest grout close by while the pile was worked."""
        limit = cases["least_h"].astype(float)
        proven, possible = cases["fresh_h"], cases["fresh_possible_h"]
        fresh = ~at_least(proven, limit) & proven.notna()
        unknown = ~fresh & ~at_least(possible, limit) & possible.notna()
        result = outcome(cases, ~fresh, proven, limit)
        result["result"] = "met"
        neighbour = "pile " + cases["fresh_neighbour"]
        result["note"] = neighbour.fillna("no grout within the distance")
        result["part"] = neighbour.fillna("")
        result.loc[fresh, "result"] = "not met"
        result.loc[unknown, "result"] = "no evidence"
        result.loc[unknown, "note"] += ": times of runs or placements are not recorded"
        nowhere = cases["easting_m"].isna() | cases["northing_m"].isna()
        result.loc[nowhere, ["result", "note"]] = ["no evidence", "the pile has no place in plan"]
        return result


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
def unknown_group_findings(rows: pd.DataFrame) -> pd.DataFrame:
    """One finding per sample group without specimens; ``rows`` as in ``rows_by_number``."""
    named = rows_by_number(FrameColumns(rows), "sample_group_id")
    return other_findings(
        pd.Series(list(named), dtype="str"), GROUP_WITHOUT_SPECIMENS, "no evidence",
        pd.Series(list(named.values()), dtype="str"), "unknown",
        subject_kind="sample group",
    )  # fmt: skip


PLACEMENT_WITHOUT_RUN = FindingKind(
    "placement_without_run",
    "placement without a run",
    "Grout placements whose run was withdrawn or removed; they count for nothing.",
    "AH",
    "FM",
    "the run taken in again, or the placements withdrawn too",
)


@makes(PLACEMENT_WITHOUT_RUN, of=("grout_placements",))
def orphan_findings(placements: pd.DataFrame) -> pd.DataFrame:
    """Placements that stand although their run no longer does, one finding per pile."""
    lost = placements[placements["run_order"].isna()]
    number = lost.groupby("pile_id").size().astype("str")
    first = lost.groupby("pile_id")["run_no"].first()
    note = (number + " placements, the first of run " + first).reset_index(name="note")
    return other_findings(
        note["pile_id"],
        PLACEMENT_WITHOUT_RUN,
        "no evidence",
        note["note"],
        "lost_grout",
        run=note["pile_id"].map(first),
    )
