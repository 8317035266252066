"""Names of earlier versions that stored settings and sign-offs hold, each with its present name."""

from __future__ import annotations

# Words in keys of project.toml and in measures that sign-offs keep, and whole names of them.
_WORDS = {"least": "min", "greatest": "max", "most": "max"}
_NAMES = {
    "advance_per_turn": "advance_per_revolution",
    "zone": "time_zone",
    "judged_on": "assessed_on",
    "outside": "outside_diameter",
    "outside_mm": "outside_diameter_mm",
    "torque_without_greatest_nm": "torque_without_peak_nm",
    "predrilled": "predrilled_diameter",
    "predrilled_mm": "predrilled_diameter_mm",
}

# Sign-offs of the first two editions name kinds of finding by the words of their day. The table is
# complete: a kind that is newer is stored under its id.
EARLIER_WORDS: dict[str, str] = {
    "criterion not set": "criterion_not_set",
    "parameter not set": "parameter_not_set",
    "required torque": "mean_torque",
    "torque at the last reading": "torque_at_last_reading",
    "torque without the greatest reading": "torque_without_peak",
    "required torque cross-check": "required_torque_cross_check",
    "final reading in header and log": "header_against_log",
    "rated torque": "rated_torque",
    "drop at the end": "torque_drop_at_end",
    "advance per turn": "advance_per_revolution",
    "reading gap in the final window": "reading_gap_in_window",
    "reading gap above the final window": "reading_gap_above_window",
    "calibration in force": "calibration_in_force",
    "calibrated range": "calibrated_range",
    "pressure kind not asked": "pressure_kind_not_recorded",
    "no torque factor for this case": "no_torque_factor",
    "readings without a run": "readings_without_run",
    "installation events": "installation_events",
    "coupling failure": "coupling_failure",
    "shaft damage": "shaft_damage",
    "refusal": "refusal",
    "spin-out": "spin_out",
    "obstruction": "obstruction",
    "reversed turning": "reverse_rotation",
    "loss of crowd": "loss_of_crowd",
    "remark to read": "remark_to_review",
    "embedment": "embedment",
    "reason for stopping": "stop_reason",
    "disturbed ground": "disturbed_ground",
    "penetration after a stop": "penetration_after_stop",
    "run not closed": "run_not_closed",
    "schedule revision at the run": "schedule_revision_at_run",
    "revision worked to": "revision_worked_to",
    "pile not on any schedule": "pile_not_on_schedule",
    "record of an unknown pile": "record_of_unknown_pile",
    "position missing from the latest revision": "position_missing_from_revision",
    "sign-off changed since": "sign_off_changed",
    "criterion newer than sign-off": "criterion_newer_than_sign_off",
    "grout recorded": "grout_recorded",
    "grout take": "grout_take",
    "grout take in a lift": "grout_take_in_lift",
    "grout take above the alarm": "grout_take_above_alarm",
    "grout lifts to the toe": "grout_lifts_to_toe",
    "grout density": "grout_density",
    "grout flow": "grout_flow",
    "batch age at placement": "batch_age_at_placement",
    "grout sampling": "grout_sampling",
    "grout strength": "grout_strength",
    "grout level after placing": "grout_level_after_placing",
    "turned after initial set": "turned_after_initial_set",
    "fresh neighbour": "installed_near_fresh_grout",
    "sample group without specimens": "sample_group_without_specimens",
    "placement without a run": "placement_without_run",
    "survey recorded": "survey_recorded",
    "survey reviewed": "survey_reviewed",
    "offset in plan": "plan_offset",
    "angle of the axis": "axis_angle",
    "head level": "head_level",
    "covered without survey": "covered_without_survey",
    "string recorded": "string_recorded",
    "length reconciliation": "length_reconciliation",
    "component not on the register": "component_not_on_register",
    "heat traced": "heat_traced",
    "mill certificate": "mill_certificate",
    "heat not on the certificate named": "heat_not_on_named_certificate",
    "type of mill certificate": "certificate_type",
    "component placed before delivery": "component_placed_before_delivery",
    "grade of the steel": "steel_grade",
    "chemistry of the steel": "steel_chemistry",
    "heat in quarantine": "heat_in_quarantine",
    "zinc recorded": "zinc_recorded",
    "zinc thickness": "zinc_thickness",
    "origin of the steel": "steel_origin",
    "remnant not tracked": "remnant_not_tracked",
    "stamp used twice": "stamp_used_twice",
    "lot over-used": "lot_quantity_exceeded",
    "wrong component for the type": "wrong_component_for_type",
}


def id_of(name: str) -> str:
    """The id of a kind that a sign-off names, by its id or by the word of an earlier edition.

    What follows a colon, such as the criterion that is not set, stays.
    """
    kind, colon, part = name.partition(": ")
    return EARLIER_WORDS.get(kind, kind) + colon + present_name(part)


def present_name(name: str) -> str:
    """The present name of a key of project.toml or of a measure; most never had another."""
    if name in _NAMES:
        return _NAMES[name]
    return "_".join(_WORDS.get(word, word) for word in name.split("_"))
