"""Criteria of torque, its readings and their instruments."""

from __future__ import annotations

from typing import Annotated, Literal

import numpy as np
from pydantic import Field

from core.criteria.base import LATER, Count, Criterion, Feeds, Guardable, Length, Share
from core.criteria.cases import Cases
from core.criteria.columns import Array, Columns, Mask, Texts
from core.criteria.findings import Findings, other_findings
from core.criteria.kinds import FindingKind, finding, makes
from core.criteria.outcomes import Outcome, Text, apply_guard_band, at_least, at_most, outcome
from core.criteria.quantities import ROUNDED_UP

DEEPER = "a deeper run, a load test or a concession"
NO_RATING = "no document gives the rating of "
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
        description="distance by which a reading may lie above the window",
        examples=["10 mm", "0.4 in"],
    )
    window_rule: Annotated[Literal["plain mean", "length-weighted mean"], Feeds("window_rule")] = (
        Field(description="how torque is averaged over the window")
    )
    cross_check_share: Annotated[Share, Feeds("cross_check_share")] = Field(
        description="share up to which printed and computed required torque agree", examples=[0.05]
    )
    toe_reading_mm: Annotated[Count | None, Feeds("toe_reading_mm"), LATER, ROUNDED_UP] = Field(
        None,
        description="maximum distance of the last reading that counts above the toe",
        examples=["150 mm", "6 in"],
    )
    printed_governs: Annotated[
        Annotated[str, Field(min_length=1)] | None, Feeds("printed_governs")
    ] = Field(
        None,
        description="clause by which the printed torque governs also when it is lower, if any",
    )

    @finding(
        "mean_torque",
        "required torque",
        "Mean torque in the final window against the required torque.",
        blocks="AC",
        responsible="DES",
        closed_by=DEEPER,
        measure="final_torque_nm",
        sense="at least",
        unit_column="final_torque_nm",
        form=2,
        needs=NEEDS,
    )
    @staticmethod
    def mean_torque(cases: Cases) -> Outcome:
        """Mean of the final window; readings above the range count as its last point."""
        return _against_required(cases, "final_torque_lower_bound_nm", "final_uncertainty_nm")

    @finding(
        "torque_at_last_reading",
        "torque at the last reading",
        "Last reading of the final window against the required torque.",
        blocks="AC",
        responsible="DES",
        closed_by=DEEPER,
        measure="final_torque_nm",
        sense="at least",
        unit_column="final_torque_nm",
        form=2,
        needs=NEEDS,
    )
    @staticmethod
    def torque_at_last_reading(cases: Cases) -> Outcome:
        """Last reading of the final window."""
        return _against_required(cases, "last_torque_lower_bound_nm", "last_uncertainty_nm")

    @finding(
        "torque_without_peak",
        "mean torque without the peak reading",
        "Mean of the final window without its peak reading against the required torque.",
        blocks="AC",
        responsible="DES",
        closed_by=DEEPER,
        measure="final_torque_nm",
        sense="at least",
        unit_column="final_torque_nm",
        form=2,
        needs=NEEDS,
    )
    @staticmethod
    def torque_without_peak(cases: Cases) -> Outcome:
        """Mean of the final window without its peak reading."""
        rest, expanded = "torque_without_peak_lower_bound_nm", "without_peak_uncertainty_nm"
        return _against_required(cases, rest, expanded)

    @finding(
        "required_torque_cross_check",
        "required torque cross-check",
        "Required torque printed on the schedule against safety factor × load / torque factor.",
        blocks="H",
        responsible="DES",
        closed_by="the schedule or torque factors corrected, or printed_governs with its clause",
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
        # Above what some of the loads need a printed value may be for the others.
        both = ~np.isnan(printed) & (cases.is_true("computed_whole") | (printed < computed))
        both &= ~np.isnan(computed)
        agrees, settled = cases.is_true("printed_agrees"), _printed_governs(cases)
        apart = both & ~agrees
        found = outcome(cases, agrees, printed, computed)
        found.put(both, "met")
        found.put(apart, note=lambda at: _apart_in_words(cases, at, settled))
        found.put(apart & ~settled, "noted", item=lambda at: _printed_case(cases, at))
        found.drop(~both)
        return found

    @finding(
        "header_against_log",
        "final reading in header and log",
        "Final torque or pressure in the run's header against the log's reading at the toe.",
        blocks="H",
        responsible="QC",
        closed_by="the header or the log corrected, or the difference explained",
        measure="final_torque_nm",
        unit_column="final_torque_nm",
        since=2,
    )
    @staticmethod
    def header_against_log(cases: Cases) -> Outcome:
        """Final reading of a run's header against the log at the toe; the lower counts."""
        header, log = cases["header_torque_nm"], cases["log_torque_nm"]
        apart = cases["header_apart"]
        found = outcome(cases, apart == 0, header, log)
        known = ~np.isnan(apart)
        found.put(known, "met", run=cases.text("header_run_no"))
        found.put(apart == 1, "noted", note="the lower of header and log counts")
        unknown = np.isnan(header) | np.isnan(log)
        note = "header and log cannot be compared; the one without torque counts"
        found.put((apart == 1) & unknown, note=note)
        found.drop(~known)
        return found


def _against_required(cases: Cases, measure: str, expanded: str) -> Outcome:
    measured, limit = cases[measure], cases["required_torque_nm"]
    known = ~np.isnan(measured)
    found = outcome(cases, at_least(measured, limit), measured, limit)
    explain_missing(cases, found)
    above = known & (cases["window_above_range"] > 0)
    found.put(above, note="at least: readings above the calibrated range count as its last point")
    greater = cases.is_text("required_by", "computed, the greater") & found.lacks("note")
    found.put(greater, note="required torque computed from the loads, above the printed one")
    none = "no required torque: neither printed nor calculable"
    found.put(np.isnan(limit), note=none)
    part = cases.is_true("required_is_part") & found.has("met")
    found.put(part, "no evidence", note="no required torque for a load without its factors")
    return apply_guard_band(cases, found, cases[expanded], "at least")


def explain_missing(cases: Cases, found: Outcome, above: bool = False) -> None:
    """Note why the final window gives no number, where it gives none: the first cause that holds.

    ``above``: whether a reading above the calibrated range is one.
    """
    unknown = np.isnan(found.measured)
    if not unknown.any():
        return
    none = ~(cases["readings_in_window"] > 0)
    beyond = cases["toe_distance_mm"] > cases["toe_reading_mm"]
    widest = cases["interval_mm"] + cases["gap_tolerance_mm"]
    deeper = cases["deepest_reading_mm"] - cases["toe_mm"]
    idle, bare = cases.text("not_counted_because"), cases.text("no_torque_because")
    causes: tuple[tuple[Mask, Text], ...] = (
        (np.isnan(cases["toe_mm"]), "the toe depth is not recorded"),
        (np.isnan(cases["window_mm"]), "required torque is not set, and with it the final window"),
        (~(cases["readings"] > 0), "no torque reading is recorded"),
        (deeper > np.nan_to_num(cases["interval_tolerance_mm"]),
         "a reading lies deeper than the recorded toe"),
        (none, "no reading lies in the final window"),
        (bare != "", lambda at: "in the final window " + bare[at]),
        (cases["readings_below_range"] > 0,
         "a reading in the final window is below the calibrated range"),
        ((cases["window_above_range"] > 0) & above,
         "a reading in the final window is above the calibrated range"),
        (idle != "", lambda at: "a reading in the final window does not count: " + idle[at]),
        (beyond, "no reading at the toe: the last one lies further above it than toe_reading_mm"),
        (cases["window_gap_mm"] > widest, "readings in the final window lie too far apart"),
        (cases["readings_in_window"] == 1, "the final window holds a single reading"),
    )  # fmt: skip
    for applies, text in reversed(causes):
        found.put(unknown & applies, note=text)


def _printed_governs(cases: Cases) -> Mask:
    """Whether a clause lets the printed value govern whatever the loads need."""
    settled: Mask = (cases.text("printed_governs") != "") & ~np.isnan(cases["printed_torque_nm"])
    return settled


def _apart_in_words(cases: Cases, at: Array, settled: Mask) -> list[str]:
    """How far printed and computed torque of the piles ``at`` are apart, and what governs."""
    ratio = cases["printed_torque_nm"][at] / cases["computed_torque_nm"][at]
    mixed = np.where(ratio > 1, ratio, 1 / ratio)
    near = np.abs(mixed - METRES_PER_FOOT_MIXED) <= cases["cross_check_share"][at] * mixed
    share = np.round(np.abs(ratio - 1) * 100, 1)
    clause, by = cases.text("printed_governs")[at], cases.text("required_by")[at]
    notes = []
    for place in range(len(at)):
        note = f"the printed value differs by {float(share[place])} %"
        if near[place]:
            note = "the ratio is near 3.28: 1/ft used as 1/m"
        if settled[at[place]]:
            notes.append(f"{note}; the printed value governs by {clause[place]}")
        else:
            notes.append(f"{note}; governs until decided: {by[place]}")
    return notes


def _printed_case(cases: Cases, at: Array) -> list[str]:
    """Type, loads and printed value, in words: what one question to the engineer is about."""
    return [
        f"type {kind}, {_loads_in_words(loads, words)}, printed {printed:.0f} N·m"
        for kind, printed, loads, words in zip(
            cases.text("pile_type")[at],
            cases["printed_torque_nm"][at].tolist(),
            zip(*(cases[name][at].tolist() for name in LOADS.values()), strict=True),
            zip(*(cases.text(name)[at] for name in ("load_basis", "load_nature")), strict=True),
            strict=True,
        )
    ]


def _loads_in_words(loads: tuple[float, ...], words: tuple[str, ...]) -> str:
    named = [f"{way} {load:g} kN" for way, load in zip(LOADS, loads, strict=True) if load > 0]
    return ", ".join([*named, *(word for word in words if word)])


class RatedTorque(Guardable):
    """Maximum torque against the lowest rating that a document supports."""

    usual_due = "installing"

    @finding(
        "rated_torque",
        "rated torque",
        "Maximum torque against the lowest torque rating of the string.",
        blocks="AC",
        responsible="DES",
        closed_by="an inspection of the string, a document for the rating, or a concession",
        measure="max_torque_nm",
        sense="at most",
        unit_column="max_torque_nm",
    )
    @staticmethod
    def rated_torque(cases: Cases) -> Outcome:
        """Maximum torque of all readings against the minimum rating that a document supports."""
        measured, limit = cases["max_torque_nm"], cases["rated_torque_nm"]
        found = outcome(cases, at_most(measured, limit), measured, limit)
        missing = np.isnan(measured)
        above, bare = cases["readings_above_range"] > 0, cases["readings_without_curve"] > 0
        found.put(missing, note="every reading is below the calibrated range")
        found.put(missing & ~(cases["readings"] > 0), note="no torque reading is recorded")
        unknown = (found.has("met") | missing) & (above | bare)
        found.put(unknown, "no evidence")
        found.put(unknown & above, note="a reading is above the calibrated range")
        found.put(unknown & bare, note=cases.text("any_no_torque_because"))
        of_component = cases["component_rated_torque_nm"]
        stamp = cases.text("component_rated_stamp")
        lowest = (of_component <= limit) & ~unknown
        found.put(lowest, note=lambda at: "lowest in the string: " + stamp[at])
        undocumented = cases.text("component_undocumented")
        silent = (undocumented != "") & found.has("met")
        found.put(silent, "no evidence", note=lambda at: NO_RATING + undocumented[at])
        no_document = np.isnan(cases["schedule_rated_torque_nm"]) & np.isnan(of_component)
        no_document &= cases.text("section_rated_document") == ""
        no_document |= np.isnan(limit)
        found.put(no_document, "no evidence", note="no document gives the torque rating")
        return apply_guard_band(cases, found, cases["max_uncertainty_nm"], "at most")


class DropAtEnd(Criterion):
    """Drop from the highest to the last reading of the window, as a share of the highest."""

    max_share: Share = Field(description="maximum drop that needs no decision")

    @finding(
        "torque_drop_at_end",
        "drop at the end",
        "Drop of torque from the peak to the last reading of the final window.",
        blocks="A",
        responsible="DES",
        closed_by="the engineer's decision on the bearing stretch",
        measure="final_torque_nm",
        sense="at most",
        needs=NEEDS,
        share=True,
    )
    @staticmethod
    def drop_at_end(cases: Cases) -> Outcome:
        """Fall from the maximum to the last reading of the window, as a share of the maximum."""
        measured, limit = cases["drop_share"], cases["max_share"]
        found = outcome(cases, at_most(measured, limit), measured, limit)
        explain_missing(cases, found, above=True)
        return found


class AdvancePerRevolution(Criterion):
    """Minimum advance per revolution as a share of the helix pitch."""

    min_share_of_pitch: Share = Field(description="minimum", examples=[0.85])

    @finding(
        "advance_per_revolution",
        "advance per revolution",
        "Advance per revolution in the final window as a share of the helix pitch.",
        blocks="A",
        responsible="DES",
        closed_by="the advance recorded, a re-advance, or the engineer's decision",
        measure="final_torque_nm",
        sense="at least",
        share=True,
    )
    @staticmethod
    def advance_per_revolution(cases: Cases) -> Outcome:
        """Minimum advance per revolution in the final window as a share of the pitch."""
        measured, limit = cases["advance_share"], cases["min_share_of_pitch"]
        found = outcome(cases, at_least(measured, limit), measured, limit)
        found.put(np.isnan(measured), note="advance per revolution is not recorded")
        return found


class ReadingGaps(Criterion):
    """Reading interval and what a gap above the final window means."""

    interval_mm: Annotated[Count, Feeds("interval_mm")] = Field(
        description="required distance between readings", examples=["300 mm", "1 ft"]
    )
    interval_tolerance_mm: Annotated[Length, Feeds("gap_tolerance_mm")] = Field(
        description="distance by which a reading interval may be exceeded",
        examples=["10 mm", "0.4 in"],
    )
    above_window: Literal["noted", "no evidence"]

    @finding(
        "reading_gap_in_window",
        "reading gap in the final window",
        "Maximum distance between readings in the final window, up to the recorded toe.",
        blocks="AH",
        responsible="FM",
        closed_by="the reading found in the paper sheet, or a concession",
        measure="final_torque_nm",
        sense="at most",
        unit_column="window_gap_mm",
    )
    @staticmethod
    def window_gap(cases: Cases) -> Outcome:
        """A gap in the final window blocks acceptance."""
        measured = cases["window_gap_mm"]
        limit = cases["interval_mm"] + cases["interval_tolerance_mm_of_criterion"]
        found = outcome(cases, at_most(measured, limit), measured, limit)
        found.put(found.has("not met"), "no evidence")
        found.put(np.isnan(measured), note="the toe depth is not recorded")
        found.drop(np.isnan(cases["window_mm"]))
        return found

    @finding(
        "reading_gap_above_window",
        "reading gap above the final window",
        "Maximum distance between readings above the final window.",
        blocks="H",
        responsible="FM",
        closed_by="the reading found in the paper sheet, or a note of the engineer",
        measure="toe_mm",
        sense="at most",
        unit_column="upper_gap_mm",
    )
    @staticmethod
    def upper_gap(cases: Cases) -> Outcome:
        """A gap above the final window is noted, or blocks where the project says so."""
        gap, toe = cases["upper_gap_mm"], cases["toe_mm"]
        measured = np.where(np.isnan(toe), np.nan, np.nan_to_num(gap))
        limit = cases["interval_mm"] + cases["interval_tolerance_mm_of_criterion"]
        found = outcome(cases, at_most(measured, limit), measured, limit)
        wide = found.has("not met")
        found.put(wide, "no evidence")
        found.put(wide & cases.is_text("above_window", "noted"), "noted")
        found.drop(np.isnan(measured))
        return found


class CalibrationInForce(Criterion):
    """Every reading is taken while a certificate of its instrument is in force."""

    usual_due = "installing"

    @finding(
        "calibration_in_force",
        "calibration in force",
        "Readings taken while no certificate of their instrument was in force.",
        blocks="AH",
        responsible="QC",
        closed_by="a certificate that covers the day, or a check before and after",
        measure="readings_out_of_force",
        sense="at most",
        counts="readings without a certificate in force",
    )
    @staticmethod
    def calibration_in_force(cases: Cases) -> Outcome:
        """Every reading is taken while a certificate of its instrument is in force."""
        measured = np.nan_to_num(cases["readings_out_of_force"])
        found = outcome(cases, measured == 0, measured, 0.0)
        none = ~(cases["readings"] > 0)
        found.put(found.has("not met") | none, "no evidence")
        found.put(measured > 0, note=lambda at: [f"{n:.0f} readings" for n in measured[at]])
        found.put(none, note="no readings")
        return found


@makes(CalibrationInForce.calibration_in_force, of=("read_instruments",))
def instrument_findings(instruments: Columns) -> Findings:
    """One finding per instrument: whether every reading it gave was covered by a certificate.

    ``instruments``: instrument_id with the number of its readings, ``taken``, and of those that
    were ``readings_out_of_force``.
    """
    names, late = instruments.text("instrument_id"), instruments.numbers("readings_out_of_force")
    gave = (names != "") & (instruments.numbers("taken") > 0)
    covered, open_ = np.flatnonzero(gave & (late == 0)), np.flatnonzero(gave & (late > 0))
    kind = CalibrationInForce.calibration_in_force
    return Findings.joined(
        [
            other_findings(names[covered], kind, "met", subject_kind="instrument"),
            other_findings(
                names[open_], kind, "no evidence",
                [f"{number:.0f} readings while no certificate was in force"
                 for number in late[open_]],
                "readings_out_of_force", subject_kind="instrument",
            ),
        ]
    )  # fmt: skip


class CalibratedRange(Criterion):
    """Readings of the final window lie within the calibrated points of their instrument."""

    @finding(
        "calibrated_range",
        "calibrated range",
        "Readings outside the calibrated points of their instrument.",
        blocks="A",
        responsible="QC",
        closed_by="a certificate with a wider range, or the engineer's decision",
        measure="final_torque_nm",
        sense="at most",
        counts="readings outside the calibrated range",
    )
    @staticmethod
    def calibrated_range(cases: Cases) -> Outcome:
        """Readings of the final window stand within the points of their curve, or above them.

        Above the range they count as the last point; the rated torque rule reports what they hide.
        """
        below = np.nan_to_num(cases["readings_below_range"])
        outside = below + np.nan_to_num(cases["window_without_curve"])
        found = outcome(cases, outside == 0, outside, 0.0)
        none = ~(cases["readings_in_window"] > 0)
        found.put(found.has("not met") | none, "no evidence")
        found.put(below > 0, note="readings in the final window are below the calibrated range")
        bare = cases.text("no_torque_because")
        found.put(bare != "", note=lambda at: "in the final window " + bare[at])
        found.put(none, note="no reading in the final window")
        return found


PRESSURE_KIND_NOT_RECORDED = FindingKind(
    "pressure_kind_not_recorded",
    "pressure kind not recorded",
    "Pressures imported before their kind was required; they count as differential.",
    "H",
    "QC",
    "the file imported again with the kind of its pressures, differential or line",
    since=2,
)


@makes(PRESSURE_KIND_NOT_RECORDED, of=("read_instruments",))
def pressure_kind_findings(instruments: Columns) -> Findings:
    """One *noted* finding per instrument whose pressures are of a kind that nobody recorded.

    ``instruments``: instrument_id with the number of its ``readings_without_kind`` and
    ``points_without_kind``.
    """
    readings, points = (
        instruments.numbers(f"{name}_without_kind") for name in ("readings", "points")
    )
    bare = np.flatnonzero((readings > 0) | (points > 0))
    notes = [
        f"{readings[at]:.0f} readings and {points[at]:.0f} calibration points do not record "
        "whether the pressure is differential or line; not recorded when they were imported, they "
        "count as differential"
        for at in bare
    ]
    return other_findings(
        instruments.text("instrument_id")[bare],
        PRESSURE_KIND_NOT_RECORDED,
        "noted",
        notes,
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
    loads = {way: cases[name] > 0 for way, name in LOADS.items()}
    idle, stated = ~np.logical_or.reduce(list(loads.values())), cases.text("direction")
    nameless = idle & (stated == "") & (direction == "compression")
    asked = loads[direction] | (idle & (stated == direction)) | nameless
    measured = cases[f"{direction}_torque_factor_per_m"]
    no_factor = np.isnan(measured)
    cause = _no_safety_factor(cases, direction)
    lacks = asked & (no_factor | nameless | (loads[direction] & (cause != "")))

    def words(at: Array) -> list[str]:
        """The case of each pile ``at`` and what it lacks."""
        found = []
        for place, case in zip(at.tolist(), _cases_in_words(cases, direction, at), strict=True):
            why = ["no torque factor"] if no_factor[place] else []
            why += [cause[place]] if loads[direction][place] and cause[place] else []
            if nameless[place]:
                why = ["no direction and no load on the schedule"]
            found.append(f"{case}: {'; '.join(why)}")
        return found

    found = outcome(cases, ~no_factor, measured)
    found.put(lacks, "no evidence", note=words, item=words, part=direction)
    found.drop(~lacks)
    return found


def _no_safety_factor(cases: Cases, direction: str) -> Texts:
    """Why a load in ``direction`` has no safety factor; empty where it has one or needs none."""
    basis, nature = cases.text("load_basis"), cases.text("load_nature")
    why = np.full(len(cases), "", dtype=object)
    unknown = np.isnan(cases[f"{direction}_safety_factor"])
    why[unknown] = f"no safety factor for {direction}, " + nature[unknown]
    why[nature == ""] = "nature of the load not recorded"
    why[basis == "factored"] = "no resistance factor for a factored load"
    why[basis == ""] = "load basis not recorded"
    why[_printed_governs(cases)] = ""
    return why


def _cases_in_words(cases: Cases, direction: str, at: Array) -> list[str]:
    grouted = cases.is_true("grouted")[at].tolist()
    texts = (cases.text(name)[at] for name in ("section", "helix_set", "ground_class"))
    return [
        f"{section or 'no section'}, {direction}, {'grouted' if own else 'bare'}, "
        f"helix set {helices or 'not recorded'}, ground {ground or 'not recorded'}"
        for own, section, helices, ground in zip(grouted, *texts, strict=True)
    ]


class TorqueFactor(Criterion):
    """Every load has the torque factor and the safety factor of its case."""

    no_torque_factor = finding(
        "no_torque_factor",
        "no torque factor for this case",
        "A load without a torque factor of its case, or without a safety factor.",
        blocks="A",
        responsible="DES",
        closed_by=FACTORS,
        measure="torque_factor_per_m",
        unit_column="torque_factor_per_m",
        form=2,
    )(torque_factor_in_compression, torque_factor_in_tension)


READINGS_WITHOUT_RUN = FindingKind(
    "readings_without_run",
    "readings without a run",
    "Torque readings whose run was withdrawn or removed; they are not assessed.",
    "AH",
    "FM",
    "the run imported again, or the readings withdrawn too",
)


@makes(READINGS_WITHOUT_RUN, of=("readings_without_run",))
def orphan_findings(readings: Columns) -> Findings:
    """Readings that stand although their run no longer does."""
    run_no = readings.text("run_no")
    pairs = zip(readings.numbers("readings").tolist(), run_no.tolist(), strict=True)
    return other_findings(
        readings.text("pile_id"),
        READINGS_WITHOUT_RUN,
        "no evidence",
        [f"{number:.0f} readings of run {run}" for number, run in pairs],
        "lost",
        run=run_no,
    )
