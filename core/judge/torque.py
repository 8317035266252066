"""Rules of torque: each a small column-wise function over the piles it concerns."""

from __future__ import annotations

import numpy as np
import pandas as pd

from core.judge.findings import Cases, Outcome, Rule, at_least, at_most, outcome
from core.judge.guarding import minding

NEEDS = ("required_torque.toe_reading_mm",)  # of whatever is taken from the final window
METRES_PER_FOOT_MIXED = 3.28  # the ratio that says a factor in 1/ft was used as 1/m


def required_torque(cases: Cases) -> Outcome:
    """Mean of the final window, with the last point standing in for readings above the range."""
    return _against_required(cases, "floor_final_torque_nm", "final_uncertainty_nm")


def torque_at_the_last_reading(cases: Cases) -> Outcome:
    """Last reading of the final window."""
    return _against_required(cases, "floor_last_torque_nm", "last_uncertainty_nm")


def torque_without_the_greatest(cases: Cases) -> Outcome:
    """Mean of the final window without its greatest reading."""
    rest, expanded = "floor_torque_without_greatest_nm", "without_greatest_uncertainty_nm"
    return _against_required(cases, rest, expanded)


def _against_required(cases: Cases, measure: str, expanded: str) -> Outcome:
    measured, limit = cases[measure], cases["required_torque_nm"]
    result = outcome(cases, at_least(measured, limit), measured, limit)
    result["note"] = why_missing(cases, measured)
    above = cases["window_above_range"].fillna(0) > 0
    result.loc[above & measured.notna(), "note"] = (
        "at least: readings above the calibrated range count as its last point"
    )
    result.loc[limit.isna(), "note"] = "no required torque: neither printed nor calculable"
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


def header_against_log(cases: Cases) -> Outcome:
    """Final reading of a run's header against the log's reading at the toe; the lower counts."""
    header, log = cases["header_torque_nm"], cases["log_torque_nm"]
    apart = cases["header_apart"]
    result = outcome(cases, apart.ne(True), header, log)
    result["result"] = apart.map({True: "noted", False: "met"})
    note = pd.Series("the lower of header and log counts", index=cases.index)
    unknown = header.isna() | log.isna()
    note = note.mask(unknown, "header and log cannot be compared; the one without torque counts")
    result["note"] = note.where(apart.eq(True), "")
    return result


def required_torque_cross_check(cases: Cases) -> Outcome:
    """Printed required torque against safety factor × load / torque factor; only ever *noted*."""
    printed, computed = cases["printed_torque_nm"], cases["computed_torque_nm"]
    ratio = printed / computed
    apart = ~at_most((ratio - 1).abs(), cases["cross_check_share"])
    result = outcome(cases, ~apart, printed, computed)
    both = printed.notna() & computed.notna()
    result["result"] = apart.map({True: "noted", False: "met"}).where(both, None)
    share = (ratio - 1).abs().mul(100).round(1).astype(str)
    result["note"] = ("differs by " + share + " %").where(apart & both, "")
    mixed = ratio.where(ratio > 1, 1 / ratio)
    near = (mixed - METRES_PER_FOOT_MIXED).abs() <= cases["cross_check_share"] * mixed
    result.loc[near & both, "note"] = "the ratio is near 3.28: 1/ft used as 1/m"
    return result


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
    no_document = cases["schedule_rated_torque_nm"].isna() & cases["section_rated_document"].eq("")
    no_document &= cases["component_rated_torque_nm"].isna()
    result.loc[no_document | limit.isna(), "result"] = "no evidence"
    result.loc[no_document | limit.isna(), "note"] = "no document gives the torque rating"
    return minding(cases, result, cases["greatest_uncertainty_nm"], "at most")


def drop_at_end(cases: Cases) -> Outcome:
    """Fall from the greatest to the last reading of the window, as a share of the greatest."""
    measured, limit = cases["drop_share"], cases["greatest_share"]
    result = outcome(cases, at_most(measured, limit), measured, limit)
    result["note"] = why_missing(cases, measured, above=True)
    return result


def advance_per_turn(cases: Cases) -> Outcome:
    """Least advance per turn in the final window as a share of the pitch."""
    measured, limit = cases["advance_share"], cases["least_share_of_pitch"]
    result = outcome(cases, at_least(measured, limit), measured, limit)
    result.loc[measured.isna(), "note"] = "advance per turn is not recorded"
    return result


def window_gap(cases: Cases) -> Outcome:
    """A gap in the final window blocks acceptance."""
    measured = cases["window_gap_mm"]
    limit = (cases["interval_mm"] + cases["interval_tolerance_mm_of_criterion"]).astype(float)
    result = outcome(cases, at_most(measured, limit), measured, limit)
    result.loc[result["result"].eq("not met"), "result"] = "no evidence"
    result.loc[measured.isna(), "note"] = "the toe depth is not recorded"
    result.loc[cases["window_mm"].isna(), "result"] = None
    return result


def upper_gap(cases: Cases) -> Outcome:
    """A gap above the final window is noted, or blocks where the project says so."""
    measured = cases["upper_gap_mm"].fillna(0.0).where(cases["toe_mm"].notna())
    limit = (cases["interval_mm"] + cases["interval_tolerance_mm_of_criterion"]).astype(float)
    result = outcome(cases, at_most(measured, limit), measured, limit)
    wide = result["result"].eq("not met")
    result.loc[wide, "result"] = cases["above_window"][wide]
    result.loc[measured.isna(), "result"] = None
    return result


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


def calibrated_range(cases: Cases) -> Outcome:
    """Readings of the final window stand within the points of their curve, or above them.

    Above the range they count as the last point; the rated torque rule reports what they hide.
    """
    below = cases["readings_below_range"].fillna(0)
    outside = below + cases["window_without_curve"].fillna(0)
    result = outcome(cases, outside.eq(0), outside, 0.0)
    none = cases["readings_in_window"].fillna(0).eq(0)
    result.loc[result["result"].eq("not met") | none, "result"] = "no evidence"
    result.loc[below.gt(0), "note"] = "readings in the final window are below the calibrated range"
    bare = cases["no_torque_because"]
    result.loc[bare.notna(), "note"] = "in the final window " + bare[bare.notna()]
    result.loc[none, "note"] = "no reading in the final window"
    return result


def torque_factor(cases: Cases) -> Outcome:
    """A row of the torque factor table fits the pile's case; reported only when none does."""
    measured = cases["torque_factor_per_m"]
    result = outcome(cases, measured.notna(), measured, 0.0)
    result["result"] = pd.Series("not met", index=cases.index).where(measured.isna(), None)
    result["limit_value"] = np.nan
    described = (
        cases["section"].fillna("no section")
        + ", "
        + cases["direction"].fillna("no direction on the schedule")
        + ", "
        + np.where(cases["grouted"].fillna(False).astype(bool), "grouted", "bare")
        + ", helix set "
        + cases["helix_set"].fillna("not given")
        + ", ground "
        + cases["ground_class"].fillna("not given")
    )
    result["note"] = described.where(measured.isna(), "")
    return result


RULES: tuple[Rule, ...] = (
    Rule("required torque", "required_torque", required_torque, "final_torque_nm", "at least",
         "final_torque_nm", NEEDS),
    Rule("torque at the last reading", "required_torque", torque_at_the_last_reading,
         "final_torque_nm", "at least", "final_torque_nm", NEEDS),
    Rule("torque without the greatest reading", "required_torque", torque_without_the_greatest,
         "final_torque_nm", "at least", "final_torque_nm", NEEDS),
    Rule("required torque cross-check", "required_torque", required_torque_cross_check,
         "required_torque_nm", "", "required_torque_nm"),
    Rule("final reading in header and log", "required_torque", header_against_log,
         "final_torque_nm", "", "final_torque_nm"),
    Rule("rated torque", "rated_torque", rated_torque, "greatest_torque_nm", "at most",
         "greatest_torque_nm"),
    Rule("drop at the end", "drop_at_end", drop_at_end, "final_torque_nm", "at most",
         needs=NEEDS),
    Rule("advance per turn", "advance_per_turn", advance_per_turn, "final_torque_nm", "at least"),
    Rule("reading gap in the final window", "reading_gaps", window_gap, "final_torque_nm",
         "at most", "window_gap_mm"),
    Rule("reading gap above the final window", "reading_gaps", upper_gap, "toe_mm",
         "at most", "upper_gap_mm"),
    Rule("calibration in force", "calibration_in_force", calibration_in_force,
         "readings_out_of_force", "at most"),
    Rule("calibrated range", "calibrated_range", calibrated_range, "final_torque_nm", "at most"),
    Rule("no torque factor for this case", "torque_factor", torque_factor,
         "torque_factor_per_m", "", "torque_factor_per_m"),
)  # fmt: skip
