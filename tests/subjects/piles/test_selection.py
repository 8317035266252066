"""Which piles there are, and what schedule, type and runs give each row."""

import numpy as np
import pandas as pd
import pytest

from core.subjects.piles.selection import pile_rows
from tests.subjects.piles.cases import FACTORS, PLACE, pile_records


def frame(**given):
    return pile_rows(pile_records(**given)).frame()


def test_piles_on_record_come_first_then_those_worked_on_then_positions_without_a_pile():
    found = frame(
        schedule=[{"position_id": name} for name in ("P1", "P2", "P3", "P4")],
        piles=[{"pile_id": "P2A", "position_id": "P2"}],
        runs=[{"pile_id": "P3"}, {"pile_id": "P2A"}, {"pile_id": "X9"}],
        stages=[{"pile_id": "P4", "stage": "cut off"}],
    )
    pairs = zip(found["pile_id"].fillna(""), found["position_id"], strict=True)
    assert list(pairs) == [("P2A", "P2"), ("P3", "P3"), ("X9", "X9"), ("P4", "P4"), ("", "P1")]
    assert found["current"].tolist() == [True, True, False, True, True]  # X9 is on no schedule
    assert found["entry_no"].notna().tolist() == found["current"].tolist()


def test_two_piles_of_one_position_both_have_its_schedule():
    found = frame(
        piles=[{"pile_id": "P1A", "position_id": "P1"}, {"pile_id": "P1R", "position_id": "P1"}],
        runs=[],
    )
    assert found["revision"].tolist() == ["A", "A"]
    assert found["row_no"].tolist() == [1, 1]
    assert found["sheet"].tolist() == [PLACE["sheet"]] * 2


def test_a_pile_is_at_the_instructed_point_where_there_is_one():
    own = {"pile_id": "P1", "position_id": "P1", "instructed_easting_m": 100.5}
    found = frame(piles=[own]).iloc[0]
    assert (found["easting_m"], found["northing_m"]) == (100.5, 200.0)


@pytest.mark.parametrize(
    ("scheduled", "own", "duty", "current", "counted"),
    [
        (None, None, "production", True, True),
        ("test on works", None, "test on works", True, True),
        ("spare", None, "spare", False, False),
        ("spare", "production", "production", False, True),
        ("production", "reaction", "reaction", True, False),
    ],
)
def test_the_duty_of_a_pile_goes_before_that_of_its_position(
    scheduled, own, duty, current, counted
):
    pile = {"pile_id": "P1", "position_id": "P1", "duty": own}
    found = frame(schedule=[{"duty": scheduled}], piles=[pile]).iloc[0]
    assert (found["duty"], found["current"], found["counted"]) == (duty, current, counted)


def test_a_type_that_project_toml_does_not_have_leaves_its_settings_unknown():
    found = frame(schedule=[{"pile_type": "T9"}]).iloc[0]
    assert found[["section", "grouted", "cross_check_share", "shaft_kn"]].isna().all()
    assert found["reason_required"]
    assert not frame(types=[{"reason_status": "not required"}]).iloc[0]["reason_required"]


def test_the_grouted_length_of_the_schedule_goes_before_that_of_the_type():
    types = [{"type_grouted_length_mm": 5000.0}]
    assert frame(types=types).iloc[0]["grouted_length_mm"] == 5000
    own = frame(schedule=[{"grouted_length_mm": 4000}], types=types).iloc[0]
    assert own["grouted_length_mm"] == 4000


def test_the_toe_is_that_of_the_last_run_that_records_one():
    found = frame(
        runs=[
            {"run_no": "1", "toe_mm": 4000, "rig": "R1", "predrilled_length_mm": 900,
             "first_disc_depth_mm": 500, "ground_level_m": 9.5},
            {"run_no": "2", "toe_mm": 6000, "rig": "R2", "first_disc_depth_mm": 400},
            {"run_no": "3", "toe_mm": None, "stop_reason": None, "run_on": "2026-03-04"},
        ]
    ).iloc[0]  # fmt: skip
    assert (found["toe_mm"], found["runs"], found["last_run_no"]) == (6000, 3, "3")
    assert (found["predrilled_length_mm"], found["first_disc_depth_mm"]) == (900, 400)
    assert found["run_on"] == pd.Timestamp("2026-03-04")
    assert found[["stop_reason", "rig", "run_ground_level_m"]].isna().all()


@pytest.mark.parametrize(
    ("case", "chosen"),
    [
        ({}, "bare"),
        ({"ground_class": "clay"}, "any ground"),
        ({"ground_class": None}, "any ground"),
        ({"grouted": True}, "grouted"),
        ({"grouted": True, "ground_class": "clay"}, None),
        ({"helix_set": "350"}, None),
        ({"section": "S2"}, None),
    ],
)
def test_a_torque_factor_serves_only_its_own_case(case, chosen):
    base = {"direction": "compression", "source": "invented"}
    factors = [
        {**base, "id": "bare", "ground": "sand", "torque_factor_per_m": 23.0},
        {**base, "id": "any ground", "ground": "any", "torque_factor_per_m": 20.0},
        {**base, "id": "grouted", "ground": "sand", "grouted": True, "torque_factor_per_m": 15.0},
    ]
    of_type = {name: case[name] for name in ("grouted", "helix_set", "section") if name in case}
    own = {name: case[name] for name in ("ground_class",) if name in case}
    found = frame(schedule=[own], types=[of_type], factors=factors).iloc[0]
    assert found["compression_torque_factor_id"] == chosen or (
        chosen is None and pd.isna(found["compression_torque_factor_id"])
    )
    assert pd.isna(found["tension_torque_factor_id"])


def test_two_equally_exact_torque_factors_give_none():
    first = {**FACTORS[0], "id": "1", "helix_set": "any", "ground": "sand"}
    second = {**FACTORS[0], "id": "2", "ground": "any"}
    both = [{"id": "0", **FACTORS[0], "helix_set": "any"}, first, second]
    assert np.isnan(frame(factors=both).iloc[0]["compression_torque_factor_per_m"])
    exact = {**FACTORS[0], "id": "3", "ground": "sand"}
    assert frame(factors=[*both, exact]).iloc[0]["compression_torque_factor_id"] == "3"


def test_of_nothing_there_is_no_pile():
    found = frame(schedule=[], runs=[], types=[], factors=[])
    assert found.empty
    assert found["runs"].dtype == "Int64"
    assert frame(schedule=[], types=[], factors=[])["pile_id"].tolist() == ["P1"]
