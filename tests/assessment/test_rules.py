"""Every rule: passes, fails, exactly on the limit, evidence missing."""

import numpy as np
import pytest

from core.subjects.piles.rules import DisturbedGround, Embedment, PenetrationAfterStop, StopReason
from core.subjects.torque import rules
from core.subjects.torque.rules import (
    AdvancePerRevolution,
    CalibratedRange,
    CalibrationInForce,
    DropAtEnd,
    RatedTorque,
    ReadingGaps,
    RequiredTorque,
)
from tests.assessment.one_case import decided

LAST, WITHOUT_PEAK = "last_torque_lower_bound_nm", "torque_without_peak_lower_bound_nm"
GOOD = {
    "last_run_no": "1",
    "header_run_no": "1",
    "toe_mm": 9000.0,
    "window_mm": 900.0,
    "required_torque_nm": 5000.0,
    "printed_torque_nm": 5000.0,
    "computed_torque_nm": 5000.0,
    "computed_whole": True,
    "printed_agrees": True,
    "printed_governs": None,
    "required_by": "printed",
    "required_is_part": False,
    "pile_type": "B1",
    "design_compression_kn": 57.5,
    "design_tension_kn": np.nan,
    "load_basis": "service",
    "load_nature": "sustained",
    "compression_safety_factor": 2.0,
    "tension_safety_factor": 3.0,
    "compression_torque_factor_per_m": 23.0,
    "tension_torque_factor_per_m": 20.0,
    "cross_check_share": 0.02,
    "final_torque_lower_bound_nm": 5600.0,
    "last_torque_lower_bound_nm": 5800.0,
    "torque_without_peak_lower_bound_nm": 5500.0,
    "readings_not_counted": 0,
    "readings_below_range": 0,
    "window_above_range": 0,
    "max_torque_nm": 6000.0,
    "readings_above_range": 0,
    "final_uncertainty_nm": 250.0,
    "last_uncertainty_nm": 250.0,
    "without_peak_uncertainty_nm": 250.0,
    "max_uncertainty_nm": 250.0,
    "decision_rule": "simple",
    "decision_clause": "",
    "rated_torque_nm": 9000.0,
    "schedule_rated_torque_nm": 9000.0,
    "component_rated_torque_nm": np.nan,
    "component_rated_stamp": None,
    "component_undocumented": None,
    "section_rated_document": "DOC-1",
    "drop_share": 0.05,
    "max_share": 0.2,
    "advance_share": 0.95,
    "min_share_of_pitch": 0.85,
    "window_gap_mm": 300.0,
    "upper_gap_mm": 300.0,
    "interval_mm": 300,
    "interval_tolerance_mm_of_criterion": 10,
    "above_window": "noted",
    "readings": 30,
    "readings_in_window": 3,
    "readings_out_of_force": 0,
    "readings_without_curve": 0,
    "window_without_curve": 0,
    "toe_distance_mm": 0.0,
    "toe_reading_mm": 150.0,
    "gap_tolerance_mm": 10.0,
    "interval_tolerance_mm": 10.0,
    "not_counted_because": None,
    "no_torque_because": None,
    "any_no_torque_because": None,
    "header_torque_nm": np.nan,
    "log_torque_nm": np.nan,
    "header_apart": None,
    "deepest_reading_mm": 9000.0,
    "stage": "installed",
    "section": "round 89",
    "direction": "compression",
    "grouted": False,
    "helix_set": "300",
    "ground_class": "sand",
    "embedment_mm": 7000.0,
    "min_embedment_mm": 6000,
    "measure": "along the axis",
    "stop_reason": "torque and depth reached",
    "accepted_reasons": ("torque and depth reached", "instructed"),
    "disturbed_toe_mm": 6000.0,
    "void_to_mm": 7050.0,
    "stop_from_mm": 6000.0,
    "stop_to_mm": 6350.0,
}
NAN = np.nan


def result(rule, **changed):
    return decided(rule, {**GOOD, **changed})["result"]


def note(rule, **changed):
    return decided(rule, {**GOOD, **changed})["note"]


@pytest.mark.parametrize(
    ("rule", "column", "passing", "failing", "limit"),
    [
        (RequiredTorque.mean_torque, "final_torque_lower_bound_nm", 5001, 4999, 5000),
        (RequiredTorque.torque_at_last_reading, "last_torque_lower_bound_nm", 5001, 4999, 5000),
        (
            RequiredTorque.torque_without_peak,
            "torque_without_peak_lower_bound_nm",
            5001,
            4999,
            5000,
        ),
        (RatedTorque.rated_torque, "max_torque_nm", 8999, 9001, 9000),
        (DropAtEnd.drop_at_end, "drop_share", 0.19, 0.21, 0.2),
        (AdvancePerRevolution.advance_per_revolution, "advance_share", 0.86, 0.84, 0.85),
        (Embedment.embedment, "embedment_mm", 6001, 5999, 6000),
        (DisturbedGround.disturbed_ground, "toe_mm", 7051, 7049, 7050),
        (PenetrationAfterStop.penetration_after_stop, "toe_mm", 6351, 6349, 6350),
    ],
)
def test_rule_passes_fails_and_meets_exactly_on_the_limit(rule, column, passing, failing, limit):
    assert result(rule, **{column: passing}) == "met"
    assert result(rule, **{column: failing}) == "not met"
    assert result(rule, **{column: limit}) == "met"
    assert result(rule, **{column: NAN}) == "no evidence"


GUARDED = {"decision_rule": "guarded", "decision_clause": "8.2"}


@pytest.mark.parametrize(
    ("rule", "column", "met", "close", "not_met"),
    [
        (RequiredTorque.mean_torque, "final_torque_lower_bound_nm", 5250, (5249, 5000, 4750), 4749),
        (RequiredTorque.torque_at_last_reading, LAST, 5250, (5249, 4750), 4749),
        (RequiredTorque.torque_without_peak, "torque_without_peak_lower_bound_nm", 5250,
         (5249, 4750), 4749),
        (RatedTorque.rated_torque, "max_torque_nm", 8750, (8751, 9000, 9250), 9251),
    ],
)  # fmt: skip
def test_guarded_decides_beyond_the_uncertainty_alone(rule, column, met, close, not_met):
    # Source: JCGM 106:2012, clause 8.3, quoted from memory: limits 5000 and 9000, U = 250 N·m.
    assert result(rule, **GUARDED, **{column: met}) == "met"
    for value in close:
        assert result(rule, **GUARDED, **{column: value}) == "within measurement uncertainty"
        assert note(rule, **GUARDED, **{column: value}) == "guarded by 8.2"
    assert result(rule, **GUARDED, **{column: not_met}) == "not met"


def test_simple_is_blind_to_the_uncertainty_and_guarded_without_it_has_no_evidence():
    unknown = {"final_uncertainty_nm": NAN}
    assert result(RequiredTorque.mean_torque, final_torque_lower_bound_nm=5001, **unknown) == "met"
    assert result(RequiredTorque.mean_torque, **GUARDED, **unknown) == "no evidence"
    assert "torque_uncertainty in project.toml" in note(
        RequiredTorque.mean_torque, **GUARDED, **unknown
    )


def test_guarded_makes_no_evidence_of_nothing():
    missing = {"final_torque_lower_bound_nm": NAN, "not_counted_because": "it is estimated"}
    assert result(RequiredTorque.mean_torque, **GUARDED, **missing) == "no evidence"
    assert note(RequiredTorque.mean_torque, **GUARDED, **missing).endswith(
        "not count: it is estimated"
    )


def test_the_uncertainty_stands_beside_what_is_measured_alone():
    assert decided(RequiredTorque.mean_torque, GOOD)["uncertainty"] == 250
    unknown = {**GOOD, "final_torque_lower_bound_nm": NAN}
    assert np.isnan(decided(RequiredTorque.mean_torque, unknown)["uncertainty"])


def test_a_limit_that_went_through_units_and_back_is_still_met_exactly():
    assert (
        result(RequiredTorque.mean_torque, final_torque_lower_bound_nm=5000 * (1 - 1e-15)) == "met"
    )


@pytest.mark.parametrize(
    "rule",
    [
        RequiredTorque.mean_torque,
        RequiredTorque.torque_at_last_reading,
        RequiredTorque.torque_without_peak,
    ],
)
def test_required_torque_without_a_limit_is_no_evidence(rule):
    assert result(rule, required_torque_nm=NAN) == "no evidence"
    assert "neither printed nor calculable" in note(rule, required_torque_nm=NAN)


def test_a_window_reading_above_the_range_counts_as_the_last_point():
    assert result(RequiredTorque.mean_torque, window_above_range=1) == "met"
    assert "last point" in note(RequiredTorque.mean_torque, window_above_range=1)


def test_a_reading_above_the_range_leaves_the_rating_without_evidence():
    assert result(RatedTorque.rated_torque, readings_above_range=1) == "no evidence"


def test_a_reading_without_a_curve_leaves_the_rating_without_evidence():
    assert result(RatedTorque.rated_torque, readings_without_curve=1) == "no evidence"


def test_a_rating_already_exceeded_stays_not_met_beside_a_reading_above_the_range():
    assert result(RatedTorque.rated_torque, max_torque_nm=9500, readings_above_range=1) == "not met"


def test_a_rating_without_a_document_is_no_evidence():
    without = {"schedule_rated_torque_nm": NAN, "section_rated_document": ""}
    assert result(RatedTorque.rated_torque, **without) == "no evidence"


def test_cross_check_is_silent_within_the_share_noted_beyond_it_and_absent_without_both():
    rule, apart = RequiredTorque.cross_check, {"printed_agrees": False}
    assert result(rule, computed_torque_nm=4950) == "met"
    assert result(rule, computed_torque_nm=4800, **apart) == "noted"
    assert result(rule, computed_torque_nm=NAN, printed_agrees=None) is None


def test_a_printed_value_apart_from_the_computed_is_settled_by_the_clause_that_lets_it_govern():
    rule = RequiredTorque.cross_check
    case = {"computed_torque_nm": 6000, "printed_agrees": False, "printed_governs": "drawing S-2"}
    assert result(rule, **case) == "met"
    assert note(rule, **case).endswith("; the printed value governs by drawing S-2")


def test_a_printed_value_above_what_some_of_the_loads_need_is_not_compared_with_their_part():
    rule, part = RequiredTorque.cross_check, {"computed_whole": False}
    assert result(rule, computed_torque_nm=4000, printed_agrees=False, **part) is None
    assert result(rule, computed_torque_nm=6000, printed_agrees=False, **part) == "noted"


def item(rule, **changed):
    return decided(rule, {**GOOD, **changed})["item"]


def test_one_question_is_asked_per_type_loads_and_printed_value():
    rule, apart = RequiredTorque.cross_check, {"printed_agrees": False}
    words = "type B1, compression 57.5 kN, service, sustained, printed 5000 N·m"
    assert item(rule, computed_torque_nm=4000, **apart) == words
    both = item(rule, computed_torque_nm=4000, design_tension_kn=20.0, **apart)
    assert both == words.replace("57.5 kN", "57.5 kN, tension 20 kN")
    assert item(rule) == ""


def test_a_pile_that_meets_what_some_of_its_loads_need_has_no_evidence_for_the_others():
    assert result(RequiredTorque.mean_torque, required_is_part=True) == "no evidence"
    short = {"final_torque_lower_bound_nm": 4999, "required_is_part": True}
    assert result(RequiredTorque.mean_torque, **short) == "not met"


@pytest.mark.parametrize("ratio", [3.28084, 1 / 3.28084])
def test_cross_check_names_a_factor_per_foot_used_per_metre(ratio):
    case = {"computed_torque_nm": 5000 * ratio, "printed_agrees": False}
    assert "1/ft" in note(RequiredTorque.cross_check, **case)


def test_a_gap_in_the_window_is_no_evidence_and_one_above_is_what_the_project_says():
    assert result(ReadingGaps.window_gap) == "met"
    assert result(ReadingGaps.window_gap, window_gap_mm=310) == "met"
    assert result(ReadingGaps.window_gap, window_gap_mm=311) == "no evidence"
    assert result(ReadingGaps.window_gap, window_gap_mm=NAN) == "no evidence"
    assert result(ReadingGaps.window_gap, window_mm=NAN) is None
    assert result(ReadingGaps.upper_gap) == "met"
    assert result(ReadingGaps.upper_gap, upper_gap_mm=310) == "met"
    assert result(ReadingGaps.upper_gap, upper_gap_mm=311) == "noted"
    assert (
        result(ReadingGaps.upper_gap, upper_gap_mm=311, above_window="no evidence") == "no evidence"
    )
    assert result(ReadingGaps.upper_gap, upper_gap_mm=NAN) == "met"
    assert result(ReadingGaps.upper_gap, toe_mm=NAN) is None


def test_calibration_needs_every_reading_in_force_and_at_least_one_reading():
    assert result(CalibrationInForce.calibration_in_force) == "met"
    assert result(CalibrationInForce.calibration_in_force, readings_out_of_force=1) == "no evidence"
    assert result(CalibrationInForce.calibration_in_force, readings=0) == "no evidence"


def test_calibrated_range_is_about_the_final_window():
    assert result(CalibratedRange.calibrated_range) == "met"
    assert result(CalibratedRange.calibrated_range, readings_below_range=1) == "no evidence"
    assert result(CalibratedRange.calibrated_range, window_without_curve=1) == "no evidence"
    assert result(CalibratedRange.calibrated_range, readings_in_window=0) == "no evidence"


COMPRESSION, TENSION = rules.torque_factor_in_compression, rules.torque_factor_in_tension


def test_only_a_missing_torque_factor_is_reported_and_names_the_case():
    assert result(COMPRESSION) is None
    lacking = {"compression_torque_factor_per_m": NAN}
    assert result(COMPRESSION, **lacking) == "no evidence"
    words = "round 89, compression, bare, helix set 300, ground sand: no torque factor"
    assert (note(COMPRESSION, **lacking), item(COMPRESSION, **lacking)) == (words, words)


def test_each_direction_with_a_load_is_asked_for_its_own_factor_and_a_blank_or_zero_one_is_not():
    lacking = {"tension_torque_factor_per_m": NAN}
    assert result(TENSION, **lacking) is None
    assert result(TENSION, design_tension_kn=0.0, **lacking) is None
    assert result(TENSION, design_tension_kn=200.0, **lacking) == "no evidence"
    assert result(TENSION, design_tension_kn=200.0) is None


def test_without_a_load_the_direction_that_the_schedule_names_is_asked_for_its_factor():
    idle = {"design_compression_kn": NAN, "load_basis": None, "load_nature": None}
    assert result(COMPRESSION, **idle) is None
    lacking = {"compression_torque_factor_per_m": NAN, "tension_torque_factor_per_m": NAN}
    assert result(COMPRESSION, **idle, **lacking) == "no evidence"
    assert result(TENSION, **idle, **lacking) is None
    assert "no direction and no load" in note(COMPRESSION, **idle, direction=None)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"compression_safety_factor": NAN}, "no safety factor for compression, sustained"),
        ({"load_nature": None, "compression_safety_factor": NAN}, "nature of the load not rec"),
        ({"load_basis": None}, "load basis not recorded"),
        ({"load_basis": "factored"}, "no resistance factor for a factored load"),
    ],
)
def test_a_load_without_a_safety_factor_is_no_evidence_unless_the_printed_value_governs(
    changed, words
):
    assert result(COMPRESSION, **changed) == "no evidence"
    assert words in note(COMPRESSION, **changed)
    settled = {**changed, "printed_governs": "drawing S-2"}
    assert result(COMPRESSION, **settled) is None
    assert result(COMPRESSION, **settled, printed_torque_nm=NAN) == "no evidence"
    lacking = {"compression_torque_factor_per_m": NAN}
    assert result(COMPRESSION, **settled, **lacking) == "no evidence"


def test_reason_for_stopping():
    assert result(StopReason.stop_reason) == "met"
    assert result(StopReason.stop_reason, stop_reason="instructed") == "met"
    assert result(StopReason.stop_reason, stop_reason="refusal on obstruction") == "not met"
    assert result(StopReason.stop_reason, stop_reason=None) == "no evidence"
    assert (
        result(StopReason.stop_reason, stop_reason="end of shift", stage="stopped") == "not yet due"
    )
    assert result(StopReason.stop_reason, stop_reason="end of shift", stage="cut off") == "not met"


def test_undisturbed_ground_and_short_stops_are_met():
    assert result(DisturbedGround.disturbed_ground, disturbed_toe_mm=NAN, void_to_mm=NAN) == "met"
    assert (
        result(PenetrationAfterStop.penetration_after_stop, stop_from_mm=NAN, stop_to_mm=NAN)
        == "met"
    )
