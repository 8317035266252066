"""Rules of torque: each a small column-wise function over the piles it concerns."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from core.judge.findings import Cases, Outcome, Rule, at_least, at_most, outcome
from core.judge.guarding import minding

NEEDS = ("required_torque.toe_reading_mm",)  # of whatever is taken from the final window
LOADS = {"compression": "design_compression_kn", "tension": "design_tension_kn"}
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
    """Printed required torque against safety factor × load / torque factor; only ever *noted*.

    Beyond the share piles are held against the greater, and one item per type, loads and printed
    value asks which governs; ``printed_governs`` with its clause settles it.
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
    result["item"] = result["note"]
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
    Rule("no torque factor for this case", "torque_factor", torque_factor_in_compression,
         "torque_factor_per_m", "", "torque_factor_per_m"),
    Rule("no torque factor for this case", "torque_factor", torque_factor_in_tension,
         "torque_factor_per_m", "", "torque_factor_per_m"),
)  # fmt: skip
