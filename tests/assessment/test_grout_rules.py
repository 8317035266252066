"""Every rule of grout: met, not met, exactly on the limit, evidence missing."""

import numpy as np
import pytest

from core.subjects.grout import rules
from core.subjects.grout.rules import (
    FreshNeighbours,
    GroutBatchAge,
    GroutDensity,
    GroutFlow,
    GroutLevel,
    GroutLiftsToToe,
    GroutRecorded,
    GroutSampling,
    GroutSet,
    GroutStrength,
    GroutTake,
)
from tests.assessment import one_case

NAN = np.nan
GOOD = {
    "lifts": 6,
    "lifts_unknown": 0,
    "grout_missing": "",
    "lift_of_min_cumulative_ratio": "lift 2 of run 1",
    "lift_of_min_ratio": "lift 3 of run 1",
    "void_l": 97.3,
    "take_ratio": 1.3,
    "min_cumulative_ratio": 1.25,
    "min_cumulative_ratio_of_criterion": 1.15,
    "min_lift_ratio": 1.1,
    "min_lift_ratio_of_criterion": 1.0,
    "alarm_ratio": 2.0,
    "lift_gap_mm": 0.0,
    "lift_gap_missing": "",
    "lift_above_gap": "lift 2 of run 1",
    "lift_below_gap": "lift 3 of run 1",
    "max_gap_mm": 300,
    "batches_unknown": 0,
    "unknown_batch": "",
    "min_density_kg_m3": 1880.0,
    "max_density_kg_m3": 1910.0,
    "min_density_batch": "B1",
    "max_density_batch": "B2",
    "density_unknown": 0,
    "min_kg_m3": 1850,
    "max_kg_m3": 1950,
    "min_flow_s": 12.0,
    "max_flow_s": 20.0,
    "min_flow_batch": "B1",
    "max_flow_batch": "B2",
    "flow_unknown": 0,
    "min_s": 10,
    "max_s": 25,
    "batch_age_h": 1.0,
    "oldest_batch": "B1",
    "age_unknown": 0,
    "max_h": 1.5,
    "level_drop_mm": 40.0,
    "level_recorded": True,
    "max_drop_mm": 100,
    "sample_groups": 1,
    "piles_per_group": 8.0,
    "specimens_per_group": 6.0,
    "days_without_group": 0,
    "day_without_group": None,
    "max_piles_per_group": 10,
    "min_specimens_per_group": 3,
    "every_day": True,
    "grout_strength_mpa": 38.0,
    "weakest_specimen": "specimen S1 of group G1",
    "results_missing": 0,
    "results_due_days": NAN,
    "results_due_on": None,
    "groups_untested": 0,
    "min_mpa": 35,
    "age_days": 28,
    "overdue_after_days": 7,
    "turned_h": 2.0,
    "turned_possible_h": 2.0,
    "untimed_placements": 0,
    "initial_set_h": 6,
    "fresh_h": 30.0,
    "fresh_possible_h": 30.0,
    "fresh_neighbour": "102",
    "min_h": 24,
    "easting_m": 100.0,
    "northing_m": 200.0,
}


def decided(rule, **changed):
    found = one_case.decided(rule, {**GOOD, **changed})
    return found["result"], found["note"]


def result(rule, **changed):
    return decided(rule, **changed)[0]


@pytest.mark.parametrize(
    ("rule", "column", "passing", "failing", "limit"),
    [
        (GroutTake.cumulative_take, "min_cumulative_ratio", 1.16, 1.14, 1.15),
        (GroutTake.lift_take, "min_lift_ratio", 1.01, 0.99, 1.0),
        (GroutDensity.density, "min_density_kg_m3", 1851, 1849, 1850),
        (GroutDensity.density, "max_density_kg_m3", 1949, 1951, 1950),
        (GroutFlow.flow, "min_flow_s", 10.1, 9.9, 10),
        (GroutFlow.flow, "max_flow_s", 24.9, 25.1, 25),
        (GroutBatchAge.batch_age, "batch_age_h", 1.49, 1.51, 1.5),
        (GroutLevel.level_after_placing, "level_drop_mm", 99, 101, 100),
        (GroutSampling.sampling, "piles_per_group", 9, 11, 10),
        (GroutSampling.sampling, "specimens_per_group", 4, 2, 3),
        (GroutStrength.strength, "grout_strength_mpa", 35.1, 34.9, 35),
    ],
)
def test_rule_passes_fails_and_meets_exactly_on_the_limit(rule, column, passing, failing, limit):
    assert result(rule, **{column: passing}) == "met"
    assert result(rule, **{column: failing}) == "not met"
    assert result(rule, **{column: limit}) == "met"


@pytest.mark.parametrize(
    ("rule", "missing", "told"),
    [
        (GroutTake.cumulative_take, {"lifts_unknown": 1, "grout_missing": "no waste"}, "no waste"),
        (GroutTake.lift_take, {"take_ratio": NAN, "grout_missing": "no disc"}, "no disc"),
        (
            GroutTake.lift_take,
            {"min_lift_ratio": NAN, "take_ratio": NAN, "lifts": NAN},
            rules.NO_LIFT,
        ),
        (GroutDensity.density, {"density_unknown": 1}, "a batch has no density"),
        (GroutFlow.flow, {"min_flow_s": NAN, "max_flow_s": NAN}, "a batch has no flow"),
        (GroutBatchAge.batch_age, {"age_unknown": 2}, "the time of mixing"),
        (
            GroutLevel.level_after_placing,
            {"level_drop_mm": NAN, "level_recorded": False},
            "the level",
        ),
        (
            GroutLevel.level_after_placing,
            {"level_recorded": False},
            "the level after the last lift",
        ),
        (
            GroutSampling.sampling,
            {"sample_groups": 0, "piles_per_group": NAN},
            "in no sample group",
        ),
        (GroutStrength.strength, {"groups_untested": 1}, "no specimen of 28 days"),
        (GroutStrength.strength, {"sample_groups": NAN}, "in no sample group"),
        (GroutSet.turned_after_set, {"untimed_placements": 1}, "times"),
        (GroutSet.turned_after_set, {"turned_possible_h": 20.0}, "times"),
        (GroutSet.turned_after_set, {"lifts": NAN}, rules.NO_LIFT),
        (FreshNeighbours.fresh_neighbour, {"fresh_possible_h": 20.0}, "pile 102: times"),
        (FreshNeighbours.fresh_neighbour, {"easting_m": NAN}, "no place in plan"),
    ],
)
def test_missing_evidence_is_never_met_and_says_what_is_missing(rule, missing, told):
    found, note = decided(rule, **missing)
    assert found == "no evidence"
    assert told in note


@pytest.mark.parametrize(
    ("rule", "bad", "missing"),
    [
        (GroutTake.cumulative_take, {"min_cumulative_ratio": 0.9}, {"lifts_unknown": 1}),
        (GroutTake.lift_take, {"min_lift_ratio": 0.9}, {"take_ratio": NAN}),
        (GroutDensity.density, {"min_density_kg_m3": 1700.0}, {"density_unknown": 1}),
        (GroutBatchAge.batch_age, {"batch_age_h": 3.0}, {"age_unknown": 1}),
        (GroutLevel.level_after_placing, {"level_drop_mm": 300.0}, {"level_recorded": False}),
        (GroutStrength.strength, {"grout_strength_mpa": 20.0}, {"results_missing": 1}),
        (GroutSet.turned_after_set, {"turned_h": 9.0}, {"untimed_placements": 1}),
        (FreshNeighbours.fresh_neighbour, {"fresh_h": 3.0}, {"fresh_possible_h": 1.0}),
    ],
)
def test_a_value_outside_its_limit_stays_so_while_others_are_missing(rule, bad, missing):
    assert result(rule, **bad, **missing) == "not met"


def test_grout_is_recorded_when_volumes_void_and_batches_are():
    assert decided(GroutRecorded.grout_recorded) == ("met", "")
    assert decided(GroutRecorded.grout_recorded, lifts=NAN, void_l=NAN) == (
        "no evidence",
        rules.NO_LIFT,
    )
    assert decided(GroutRecorded.grout_recorded, grout_missing="waste") == ("no evidence", "waste")
    assert decided(GroutRecorded.grout_recorded, batches_unknown=1, unknown_batch="B9") == (
        "no evidence",
        "batch B9 is not on record",
    )


@pytest.mark.parametrize(
    ("gap_mm", "expected"), [(0, "met"), (299, "met"), (300, "met"), (301, "no evidence")]
)
def test_a_gap_between_lifts_wider_than_allowed_is_no_evidence(gap_mm, expected):
    found, note = decided(GroutLiftsToToe.lifts_to_toe, lift_gap_mm=gap_mm)
    assert found == expected
    told = "no lift recorded between lift 2 of run 1 and lift 3 of run 1"
    assert note == (told if expected == "no evidence" else "")


@pytest.mark.parametrize(
    ("missing", "told"),
    [
        ({"lift_above_gap": ""}, "no lift recorded above lift 3 of run 1"),
        ({"lift_above_gap": "", "lift_gap_missing": "no disc"}, "no disc"),
        ({"lift_below_gap": ""}, "no lift recorded below lift 2 of run 1 down to the toe"),
        ({"lift_above_gap": "", "lift_below_gap": ""}, rules.NO_DEPTHS),
        ({"lift_gap_mm": NAN, "lift_gap_missing": "no toe"}, "no toe"),
        ({"lift_gap_mm": NAN, "lifts": NAN}, rules.NO_LIFT),
    ],
)
def test_what_lacks_down_to_the_toe_is_named(missing, told):
    wide = {"lift_gap_mm": 600.0, **missing}
    assert decided(GroutLiftsToToe.lifts_to_toe, **wide) == ("no evidence", told)


def test_take_above_the_alarm_is_only_ever_noted():
    assert result(GroutTake.take_above_alarm, take_ratio=1.9) == "met"
    assert result(GroutTake.take_above_alarm, take_ratio=2.0) == "met"
    assert result(GroutTake.take_above_alarm, take_ratio=2.1) == "noted"
    assert result(GroutTake.take_above_alarm, take_ratio=NAN) is None


@pytest.mark.parametrize(
    ("late", "expected"), [(-3, "waiting"), (7, "waiting"), (8, "no evidence")]
)
def test_a_result_waits_until_its_age_and_the_days_after_it(late, expected):
    missing = {"results_missing": 1, "results_due_days": late}
    assert result(GroutStrength.strength, **missing) == expected
    none_in = {**missing, "grout_strength_mpa": NAN, "weakest_specimen": ""}
    assert result(GroutStrength.strength, **none_in) == expected


def test_a_day_without_a_group_counts_where_every_day_is_asked_for():
    day = {"days_without_group": 1, "day_without_group": "2026-03-02"}
    assert decided(GroutSampling.sampling, **day) == (
        "no evidence",
        "no specimen was taken on 2026-03-02",
    )
    assert result(GroutSampling.sampling, **day, every_day=False) == "met"


@pytest.mark.parametrize(("hours", "expected"), [(5.9, "met"), (6.0, "met"), (6.1, "not met")])
def test_turning_is_measured_from_the_end_of_the_last_placement(hours, expected):
    known = {"turned_h": hours, "turned_possible_h": hours}
    assert result(GroutSet.turned_after_set, **known) == expected


def test_a_pile_not_turned_again_needs_its_placements_timed():
    none = {"turned_h": NAN, "turned_possible_h": NAN}
    assert result(GroutSet.turned_after_set, **none) == "met"
    assert result(GroutSet.turned_after_set, **none, untimed_placements=1) == "no evidence"


@pytest.mark.parametrize(("hours", "expected"), [(24.1, "met"), (24.0, "met"), (23.9, "not met")])
def test_grout_of_a_neighbour_is_fresh_for_the_hours_of_the_criterion(hours, expected):
    known = {"fresh_h": hours, "fresh_possible_h": hours}
    assert decided(FreshNeighbours.fresh_neighbour, **known) == (expected, "pile 102")


def test_a_pile_without_grout_close_by_needs_nothing():
    none = {"fresh_h": NAN, "fresh_possible_h": NAN, "fresh_neighbour": None}
    assert result(FreshNeighbours.fresh_neighbour, **none) == "met"
