# mypy: disable-error-code="no-any-return,arg-type,unused-ignore"
"""Criteria of torque, its readings and their instruments."""

from __future__ import annotations

from typing import Annotated, Any, Literal

import numpy as np
import pandas as pd
from pydantic import Field

from core.criteria.as_frames import Cases, Outcome, at_least, at_most, other_findings, outcome
from core.criteria.base import LATER, Count, Criterion, Feeds, Guardable, Length, Share
from core.criteria.guarding import minding
from core.criteria.kinds import FindingKind, finding, makes
from core.criteria.quantities import ROUNDED_UP

DEEPER = "a deeper run, a load test or a concession"
FACTORS = "a row in the torque factor table with its source, or the safety factor with its clause"
NEEDS = ("required_torque.toe_reading_mm",)  # of whatever is taken from the final window
LOADS = {"compression": "design_compression_kn", "tension": "design_tension_kn"}
METRES_PER_FOOT_MIXED = 3.28  # the ratio that says a factor in 1/ft was used as 1/m


class RequiredTorque(Guardable):
    """Final torque: the window, how it is averaged, and the cross-check of the schedule.

    Beyond the cross-check share a pile is held against the greater of printed and computed
    required torque, until ``printed_governs`` names the clause by which the printed one governs.
    """

    window_mm: Annotated[Count, Feeds("window_mm")] = Field(
        description="length of the final window, up from the toe", examples=["900 mm", "3 ft"]
    )
    interval_tolerance_mm: Annotated[Length, Feeds("interval_tolerance_mm")] = Field(
        description="by which a reading may lie above the window", examples=["10 mm", "0.4 in"]
    )
    window_rule: Annotated[Literal["plain mean", "length-weighted mean"], Feeds("window_rule")]
    cross_check_share: Annotated[Share, Feeds("cross_check_share")] = Field(
        description="printed and computed required torque agree up to this", examples=[0.05]
    )
    toe_reading_mm: Annotated[Count | None, Feeds("toe_reading_mm"), LATER, ROUNDED_UP] = Field(
        None,
        description="the last reading that counts lies at most this far above the toe",
        examples=["150 mm", "6 in"],
    )
    printed_governs: Annotated[
        Annotated[str, Field(min_length=1)] | None, Feeds("printed_governs")
    ] = Field(
        None,
        description="only with the clause by which the printed value governs also when it is lower",
    )

    @finding(
        "mean_torque",
        "required torque",
        "Mean torque in the final window against the required torque.",
        blocks="AC",
        owner="DES",
        clears=DEEPER,
        measure="final_torque_nm",
        sense="at least",
        unit_column="final_torque_nm",
        form=2,
        needs=NEEDS,
    )
    @staticmethod
    def mean_torque(cases: Cases) -> Outcome:
        """Mean of the final window; readings above the range count as its last point."""
        return _against_required(cases, "floor_final_torque_nm", "final_uncertainty_nm")

    @finding(
        "torque_at_last_reading",
        "torque at the last reading",
        "Last reading of the final window against the required torque.",
        blocks="AC",
        owner="DES",
        clears=DEEPER,
        measure="final_torque_nm",
        sense="at least",
        unit_column="final_torque_nm",
        form=2,
        needs=NEEDS,
    )
    @staticmethod
    def torque_at_last_reading(cases: Cases) -> Outcome:
        """Last reading of the final window."""
        return _against_required(cases, "floor_last_torque_nm", "last_uncertainty_nm")

    @finding(
        "torque_without_peak",
        "torque without the greatest reading",
        "Mean of the final window without its greatest reading against the required torque.",
        blocks="AC",
        owner="DES",
        clears=DEEPER,
        measure="final_torque_nm",
        sense="at least",
        unit_column="final_torque_nm",
        form=2,
        needs=NEEDS,
    )
    @staticmethod
    def torque_without_peak(cases: Cases) -> Outcome:
        """Mean of the final window without its greatest reading."""
        rest, expanded = "floor_torque_without_greatest_nm", "without_greatest_uncertainty_nm"
        return _against_required(cases, rest, expanded)

    @finding(
        "required_torque_cross_check",
        "required torque cross-check",
        "Required torque printed on the schedule against safety factor × load / torque factor.",
        blocks="H",
        owner="DES",
        clears="the schedule or torque factor table corrected, or printed_governs with its clause",
        measure="required_torque_nm",
        unit_column="required_torque_nm",
    )
    @staticmethod
    def cross_check(cases: Cases) -> Outcome:
        """Printed required torque against safety factor × load / torque factor; only ever *noted*.

        Beyond the share piles are held against the greater, and one item per type, loads and
        printed value asks which governs; ``printed_governs`` with its clause settles it.
        """
        printed, computed = cases["printed_torque_nm"], cases["computed_torque_nm"]
        both = printed.notna() & computed.notna()
        # Above what some of the loads need a printed value may be for the others.
        both &= cases["computed_whole"].astype(bool) | (printed < computed)
        agrees = cases["printed_agrees"].eq(True)
        apart, settled = both & ~agrees, _printed_governs(cases)
        result = outcome(cases, agrees, printed, computed)
        result["result"] = (apart & ~settled).map({True: "noted", False: "met"}).where(both, None)
        ratio = printed / computed
        share = (ratio - 1).abs().mul(100).round(1).astype(str)
        mixed = ratio.where(ratio > 1, 1 / ratio)
        near = (mixed - METRES_PER_FOOT_MIXED).abs() <= cases["cross_check_share"] * mixed
        note = "the printed value differs by " + share + " %"
        note = note.mask(near, "the ratio is near 3.28: 1/ft used as 1/m")
        governs = "governs until decided: " + cases["required_by"].fillna("")
        governs = governs.mask(settled, "the printed value governs by " + cases["printed_governs"])
        result["note"] = (note + "; " + governs).where(apart, "")
        result["item"] = _printed_case(cases).where(apart & ~settled, "")
        return result

    @finding(
        "header_against_log",
        "final reading in header and log",
        "Final torque or pressure in the run's header against the log's reading at the toe.",
        blocks="H",
        owner="QC",
        clears="the header or the log corrected, or the difference explained",
        measure="final_torque_nm",
        unit_column="final_torque_nm",
        since=2,
    )
    @staticmethod
    def header_against_log(cases: Cases) -> Outcome:
        """Final reading of a run's header against the log at the toe; the lower counts."""
        header, log = cases["header_torque_nm"], cases["log_torque_nm"]
        apart = cases["header_apart"]
        result = outcome(cases, apart.ne(True), header, log)
        result["result"] = apart.map({True: "noted", False: "met"})
        note = pd.Series("the lower of header and log counts", index=cases.index)
        unknown = header.isna() | log.isna()
        note = note.mask(
            unknown, "header and log cannot be compared; the one without torque counts"
        )
        result["note"] = note.where(apart.eq(True), "")
        result["run"] = cases["header_run_no"]
        return result


def _against_required(cases: Cases, measure: str, expanded: str) -> Outcome:
    measured, limit = cases[measure], cases["required_torque_nm"]
    result = outcome(cases, at_least(measured, limit), measured, limit)
    result["note"] = why_missing(cases, measured)
    above = cases["window_above_range"].fillna(0) > 0
    result.loc[above & measured.notna(), "note"] = (
        "at least: readings above the calibrated range count as its last point"
    )
    greater = cases["required_by"].eq("computed, the greater") & result["note"].eq("")
    result.loc[greater, "note"] = "required torque computed from the loads, above the printed one"
    result.loc[limit.isna(), "note"] = "no required torque: neither printed nor calculable"
    part = cases["required_is_part"].astype(bool) & result["result"].eq("met")
    result.loc[part, "result"] = "no evidence"
    result.loc[part, "note"] = "no required torque for a load without its factors"
    return minding(cases, result, cases[expanded], "at least")


def why_missing(cases: Cases, measured: pd.Series, above: bool = False) -> pd.Series:
    """Why the final window gives no number: the first cause that holds, in words.

    ``above``: whether a reading above the calibrated range is one.
    """
    count = cases["readings_in_window"].fillna(0)
    beyond = cases["toe_distance_mm"] > cases["toe_reading_mm"]
    widest = cases["interval_mm"] + cases["gap_tolerance_mm"]
    deepest = cases["deepest_reading_mm"] - cases["toe_mm"]
    idle, bare = cases["not_counted_because"], cases["no_torque_because"]
    causes = (
        (cases["toe_mm"].isna(), "the toe depth is not recorded"),
        (cases["window_mm"].isna(), "required torque is not set, and with it the final window"),
        (cases["readings"].fillna(0).eq(0), "no torque reading is recorded"),
        (deepest > cases["interval_tolerance_mm"].fillna(0),
         "a reading lies deeper than the recorded toe"),
        (count.eq(0), "no reading lies in the final window"),
        (bare.notna(), "in the final window " + bare.fillna("")),
        (cases["readings_below_range"].fillna(0) > 0,
         "a reading in the final window is below the calibrated range"),
        ((cases["window_above_range"].fillna(0) > 0) & above,
         "a reading in the final window is above the calibrated range"),
        (idle.notna(), "a reading in the final window does not count: " + idle.fillna("")),
        (beyond, "no reading at the toe: the last one lies further above it than toe_reading_mm"),
        (cases["window_gap_mm"] > widest, "readings in the final window lie too far apart"),
        (count.eq(1), "the final window holds a single reading"),
    )  # fmt: skip
    note = pd.Series("", index=cases.index)
    for applies, words in reversed(causes):
        note = note.mask(applies & measured.isna(), words)
    return note


def _printed_governs(cases: Cases) -> pd.Series:
    """Whether a clause lets the printed value govern whatever the loads need."""
    settled: pd.Series = cases["printed_governs"].fillna("").ne("")
    return settled & cases["printed_torque_nm"].notna()


def _printed_case(cases: Cases) -> pd.Series:
    """Type, loads and printed value, in words: what one question to the engineer is about."""
    words = [
        f"type {kind}, {_loads_in_words(loads)}, printed {printed:.0f} N·m"
        for kind, printed, *loads in zip(
            cases["pile_type"],
            cases["printed_torque_nm"],
            *(cases[name] for name in (*LOADS.values(), "load_basis", "load_nature")),
            strict=True,
        )
    ]
    return pd.Series(words, index=cases.index, dtype="str")


def _loads_in_words(loads: list[Any]) -> str:
    *values, basis, nature = loads
    told = [f"{way} {load:g} kN" for way, load in zip(LOADS, values, strict=True) if load > 0]
    return ", ".join([*told, *(word for word in (basis, nature) if isinstance(word, str))])


class RatedTorque(Guardable):
    """Maximum torque against the lowest rating that a document supports."""

    usual_due = "installing"

    @finding(
        "rated_torque",
        "rated torque",
        "Greatest torque against the lowest torque rating of the string.",
        blocks="AC",
        owner="DES",
        clears="an inspection of the string, a document for the rating, or a concession",
        measure="greatest_torque_nm",
        sense="at most",
        unit_column="greatest_torque_nm",
    )
    @staticmethod
    def rated_torque(cases: Cases) -> Outcome:
        """Greatest torque of all readings against the least rating that a document supports."""
        measured, limit = cases["greatest_torque_nm"], cases["rated_torque_nm"]
        result = outcome(cases, at_most(measured, limit), measured, limit)
        above = cases["readings_above_range"].fillna(0) > 0
        bare = cases["readings_without_curve"].fillna(0) > 0
        none = cases["readings"].fillna(0).eq(0)
        result.loc[measured.isna(), "note"] = "every reading is below the calibrated range"
        result.loc[measured.isna() & none, "note"] = "no torque reading is recorded"
        unknown = (result["result"].eq("met") | measured.isna()) & (above | bare)
        result.loc[unknown, "result"] = "no evidence"
        result.loc[unknown & above, "note"] = "a reading is above the calibrated range"
        result.loc[unknown & bare, "note"] = cases["any_no_torque_because"][unknown & bare]
        lowest = cases["component_rated_torque_nm"].notna()
        lowest &= cases["component_rated_torque_nm"].le(limit)
        by = "lowest in the string: " + cases["component_rated_stamp"]
        result.loc[lowest & ~unknown, "note"] = by[lowest & ~unknown]
        silent = cases["component_undocumented"].notna() & result["result"].eq("met")
        result.loc[silent, "result"] = "no evidence"
        result.loc[silent, "note"] = (
            "no document gives the rating of " + cases["component_undocumented"]
        )
        no_document = cases["schedule_rated_torque_nm"].isna() & cases["section_rated_document"].eq(
            ""
        )
        no_document &= cases["component_rated_torque_nm"].isna()
        result.loc[no_document | limit.isna(), "result"] = "no evidence"
        result.loc[no_document | limit.isna(), "note"] = "no document gives the torque rating"
        return minding(cases, result, cases["greatest_uncertainty_nm"], "at most")


class DropAtEnd(Criterion):
    """Drop from the highest to the last reading of the window, as a share of the highest."""

    greatest_share: Share = Field(description="maximum drop that needs no decision")

    @finding(
        "torque_drop_at_end",
        "drop at the end",
        "Fall of torque from the greatest to the last reading of the final window.",
        blocks="A",
        owner="DES",
        clears="the engineer's decision on the bearing stretch",
        measure="final_torque_nm",
        sense="at most",
        needs=NEEDS,
    )
    @staticmethod
    def drop_at_end(cases: Cases) -> Outcome:
        """Fall from the greatest to the last reading of the window, as a share of the greatest."""
        measured, limit = cases["drop_share"], cases["greatest_share"]
        result = outcome(cases, at_most(measured, limit), measured, limit)
        result["note"] = why_missing(cases, measured, above=True)
        return result


class AdvancePerTurn(Criterion):
    """Minimum advance per turn as a share of the helix pitch."""

    least_share_of_pitch: Share = Field(description="minimum", examples=[0.85])

    @finding(
        "advance_per_revolution",
        "advance per turn",
        "Advance per turn in the final window as a share of the helix pitch.",
        blocks="A",
        owner="DES",
        clears="the advance recorded, a re-advance, or the engineer's decision",
        measure="final_torque_nm",
        sense="at least",
    )
    @staticmethod
    def advance_per_turn(cases: Cases) -> Outcome:
        """Least advance per turn in the final window as a share of the pitch."""
        measured, limit = cases["advance_share"], cases["least_share_of_pitch"]
        result = outcome(cases, at_least(measured, limit), measured, limit)
        result.loc[measured.isna(), "note"] = "advance per turn is not recorded"
        return result


class ReadingGaps(Criterion):
    """Reading interval and what a gap above the final window means."""

    interval_mm: Annotated[Count, Feeds("interval_mm")] = Field(
        description="distance between readings that is asked for", examples=["300 mm", "1 ft"]
    )
    interval_tolerance_mm: Annotated[Length, Feeds("gap_tolerance_mm")] = Field(
        description="by which a distance may exceed it", examples=["10 mm", "0.4 in"]
    )
    above_window: Literal["noted", "no evidence"]

    @finding(
        "reading_gap_in_window",
        "reading gap in the final window",
        "Greatest distance between readings in the final window, up to the recorded toe.",
        blocks="AH",
        owner="FM",
        clears="the reading found in the paper sheet, or a concession",
        measure="final_torque_nm",
        sense="at most",
        unit_column="window_gap_mm",
    )
    @staticmethod
    def window_gap(cases: Cases) -> Outcome:
        """A gap in the final window blocks acceptance."""
        measured = cases["window_gap_mm"]
        limit = (cases["interval_mm"] + cases["interval_tolerance_mm_of_criterion"]).astype(float)
        result = outcome(cases, at_most(measured, limit), measured, limit)
        result.loc[result["result"].eq("not met"), "result"] = "no evidence"
        result.loc[measured.isna(), "note"] = "the toe depth is not recorded"
        result.loc[cases["window_mm"].isna(), "result"] = None
        return result

    @finding(
        "reading_gap_above_window",
        "reading gap above the final window",
        "Greatest distance between readings above the final window.",
        blocks="H",
        owner="FM",
        clears="the reading found in the paper sheet, or a note of the engineer",
        measure="toe_mm",
        sense="at most",
        unit_column="upper_gap_mm",
    )
    @staticmethod
    def upper_gap(cases: Cases) -> Outcome:
        """A gap above the final window is noted, or blocks where the project says so."""
        measured = cases["upper_gap_mm"].fillna(0.0).where(cases["toe_mm"].notna())
        limit = (cases["interval_mm"] + cases["interval_tolerance_mm_of_criterion"]).astype(float)
        result = outcome(cases, at_most(measured, limit), measured, limit)
        wide = result["result"].eq("not met")
        result.loc[wide, "result"] = cases["above_window"][wide]
        result.loc[measured.isna(), "result"] = None
        return result


class CalibrationInForce(Criterion):
    """Every reading is taken while a certificate of its instrument is in force."""

    usual_due = "installing"

    @finding(
        "calibration_in_force",
        "calibration in force",
        "Readings taken while no certificate of their instrument was in force.",
        blocks="AH",
        owner="QC",
        clears="a certificate that covers the day, or a check before and after",
        measure="readings_out_of_force",
        sense="at most",
    )
    @staticmethod
    def calibration_in_force(cases: Cases) -> Outcome:
        """Every reading is taken while a certificate of its instrument is in force."""
        measured = cases["readings_out_of_force"].fillna(0).astype(float)
        result = outcome(cases, measured.eq(0), measured, 0.0)
        none = cases["readings"].fillna(0).eq(0)
        result.loc[result["result"].eq("not met") | none, "result"] = "no evidence"
        late = measured.gt(0)
        result.loc[late, "note"] = measured[late].astype(int).astype(str) + " readings"
        result.loc[none, "note"] = "no readings"
        return result


@makes(CalibrationInForce.calibration_in_force, of=("profile",))
def instrument_findings(profile: pd.DataFrame) -> pd.DataFrame:
    """One finding per instrument: whether every reading it gave was covered by a certificate."""
    taken = profile[profile["instrument_id"].ne("")]
    late = (~taken["in_force"]).groupby(taken["instrument_id"]).sum()
    names = late.index.to_series()
    covered = other_findings(
        names[late.eq(0)], CalibrationInForce.calibration_in_force, "met", subject_kind="instrument"
    )
    count = late[late > 0].astype(int).astype(str) + " readings while no certificate was in force"
    open_ = other_findings(
        names[late > 0], CalibrationInForce.calibration_in_force, "no evidence", count,
        "readings_out_of_force", subject_kind="instrument",
    )  # fmt: skip
    return pd.concat([covered, open_], ignore_index=True)


class CalibratedRange(Criterion):
    """Readings of the final window lie within the calibrated points of their instrument."""

    @finding(
        "calibrated_range",
        "calibrated range",
        "Readings outside the calibrated points of their instrument.",
        blocks="A",
        owner="QC",
        clears="a certificate with a wider range, or the engineer's decision",
        measure="final_torque_nm",
        sense="at most",
    )
    @staticmethod
    def calibrated_range(cases: Cases) -> Outcome:
        """Readings of the final window stand within the points of their curve, or above them.

        Above the range they count as the last point; the rated torque rule reports what they hide.
        """
        below = cases["readings_below_range"].fillna(0)
        outside = below + cases["window_without_curve"].fillna(0)
        result = outcome(cases, outside.eq(0), outside, 0.0)
        none = cases["readings_in_window"].fillna(0).eq(0)
        result.loc[result["result"].eq("not met") | none, "result"] = "no evidence"
        result.loc[below.gt(0), "note"] = (
            "readings in the final window are below the calibrated range"
        )
        bare = cases["no_torque_because"]
        result.loc[bare.notna(), "note"] = "in the final window " + bare[bare.notna()]
        result.loc[none, "note"] = "no reading in the final window"
        return result


PRESSURE_KIND_NOT_RECORDED = FindingKind(
    "pressure_kind_not_recorded",
    "pressure kind not asked",
    "Pressures imported before their kind was asked; they count as differential.",
    "H",
    "QC",
    "the file imported again with the kind of its pressures, differential or line",
    since=2,
)


@makes(PRESSURE_KIND_NOT_RECORDED, of=("pressure_kinds_not_asked",))
def pressure_kind_findings(not_asked: pd.DataFrame) -> pd.DataFrame:
    """One *noted* finding per instrument whose pressures are of a kind that nobody recorded.

    ``not_asked``: instrument_id with the number of its ``readings`` and ``points`` without a kind.
    """
    count = not_asked["readings"].astype(int).astype(str) + " readings and "
    count += not_asked["points"].astype(int).astype(str) + " calibration points"
    note = count + " do not record whether the pressure is differential or line; not asked when "
    return other_findings(
        not_asked["instrument_id"],
        PRESSURE_KIND_NOT_RECORDED,
        "noted",
        note + "they were imported, they count as differential",
        "pressure_kind",
        subject_kind="instrument",
    )


def torque_factor_in_compression(cases: Cases) -> Outcome:
    """A load in compression has the factors of its case."""
    return _torque_factor(cases, "compression")


def torque_factor_in_tension(cases: Cases) -> Outcome:
    """A load in tension has the factors of its case."""
    return _torque_factor(cases, "tension")


def _torque_factor(cases: Cases, direction: str) -> Outcome:
    """*No evidence* where a load has no torque factor of its case or no safety factor.

    Asked of each direction with a load; without any load of the direction that the schedule
    names. One item per case, direction and cause.
    """
    loads = pd.DataFrame({way: cases[name] for way, name in LOADS.items()}).gt(0)
    idle, stated = ~loads.any(axis=1), cases["direction"]
    nameless = idle & stated.isna() & (direction == "compression")
    asked = loads[direction] | (idle & stated.eq(direction)) | nameless
    measured = cases[f"{direction}_torque_factor_per_m"]
    no_factor = measured.isna().map({True: "no torque factor", False: ""})
    cause = _no_safety_factor(cases, direction).where(loads[direction], "")
    both = no_factor.ne("") & cause.ne("")
    why = no_factor + both.map({True: "; ", False: ""}) + cause
    why = why.mask(nameless, "no direction and no load on the schedule")
    result = outcome(cases, measured.notna(), measured)
    lacks = asked & why.ne("")
    result["result"] = pd.Series("no evidence", index=cases.index).where(lacks, None)
    result["note"] = (_case_in_words(cases, direction) + ": " + why).where(lacks, "")
    result["item"], result["part"] = result["note"], direction
    return result


def _no_safety_factor(cases: Cases, direction: str) -> pd.Series:
    """Why a load in ``direction`` has no safety factor; empty where it has one or needs none."""
    basis, nature = cases["load_basis"], cases["load_nature"]
    unknown = cases[f"{direction}_safety_factor"].isna()
    why = np.select(
        [
            _printed_governs(cases),
            basis.isna(),
            basis.eq("factored"),
            nature.isna(),
            unknown,
        ],
        [
            "",
            "load basis not recorded",
            "no resistance factor for a factored load",
            "nature of the load not recorded",
            "no safety factor for " + direction + ", " + nature.fillna("").astype(object),
        ],
        "",
    )
    return pd.Series(why, index=cases.index, dtype="str")


def _case_in_words(cases: Cases, direction: str) -> pd.Series:
    grouted = cases["grouted"].fillna(False).astype(bool).map({True: "grouted", False: "bare"})
    words: pd.Series = (
        cases["section"].fillna("no section")
        + f", {direction}, "
        + grouted
        + ", helix set "
        + cases["helix_set"].fillna("not recorded")
        + ", ground "
        + cases["ground_class"].fillna("not recorded")
    )
    return words


class TorqueFactor(Criterion):
    """Every load has the torque factor and the safety factor of its case."""

    no_torque_factor = finding(
        "no_torque_factor",
        "no torque factor for this case",
        "A load without a torque factor of its case, or without a safety factor.",
        blocks="A",
        owner="DES",
        clears=FACTORS,
        measure="torque_factor_per_m",
        unit_column="torque_factor_per_m",
        form=2,
    )(torque_factor_in_compression, torque_factor_in_tension)


READINGS_WITHOUT_RUN = FindingKind(
    "readings_without_run",
    "readings without a run",
    "Torque readings whose run was withdrawn or removed; they count for nothing.",
    "AH",
    "FM",
    "the run taken in again, or the readings withdrawn too",
)


@makes(READINGS_WITHOUT_RUN, of=("readings_without_run",))
def orphan_findings(readings: pd.DataFrame) -> pd.DataFrame:
    """Readings that stand although their run no longer does."""
    note = readings["readings"].astype("str") + " readings of run " + readings["run_no"]
    return other_findings(
        readings["pile_id"],
        READINGS_WITHOUT_RUN,
        "no evidence",
        note,
        "lost",
        run=readings["run_no"],
    )
