"""The sample project from its raw files: what is planted is found, and nothing else."""

import csv

import pandas as pd
import pytest

from core import services
from tests.conftest import SAMPLE

PLANTED_RESULTS = ("not met", "no evidence", "noted", "waiting", "within measurement uncertainty")


@pytest.fixture(scope="module")
def assessment(sample_assessment):
    return sample_assessment


def test_the_findings_on_the_judging_day_are_exactly_the_planted_ones(assessment):
    found = assessment.findings
    open_ = found[found["result"].isin(PLANTED_RESULTS)]
    listed = list(zip(open_["subject"], open_["kind"], open_["result"], strict=True))
    with (SAMPLE / "planted.csv").open(encoding="utf-8") as lines:
        planted = [(r["subject"], r["kind"], r["result"]) for r in csv.DictReader(lines)]
    assert sorted(listed) == sorted(planted)


def test_every_open_finding_has_a_key_of_its_own(assessment):
    found = assessment.findings
    open_ = found[found["result"].isin(PLANTED_RESULTS)]
    key = ["subject_kind", "subject", "run", "finding", "part"]
    assert open_[open_.duplicated(key, keep=False)].empty
    keys = set(zip(open_["subject"], open_["run"], open_["finding"], open_["part"], strict=True))
    assert ("B46-1", "1", "run_not_closed", "") in keys
    assert ("P-116", "", "grout_take", "lift 2 of run 1") in keys
    assert ("P-125", "", "grout_density", "batch GB-0921-2") in keys
    assert ("P-138", "", "no_torque_factor", "compression") in keys
    assert ("B54-2", "", "plan_offset", "after cut-off") in keys


def test_the_engineers_sign_offs_stand_and_the_replaced_pile_is_replaced(assessment):
    with (SAMPLE / "sign_offs.csv").open(encoding="utf-8") as lines:
        signed = {row["pile"] for row in csv.DictReader(lines)}
    assert assessment.counts["accepted"] == len(signed) > 40
    states = assessment.piles.set_index("pile_id")["state"]
    assert states["B15-1"] == "replaced"
    assert states["B15-1R"] == "accepted"
    assert "B15-1" not in set(assessment.attention["subject"])
    positions = assessment.positions.set_index("position_id")
    assert positions.loc["B15-1", "accepted"]
    assert assessment.accepted_positions == positions.loc[positions["current"], "accepted"].sum()


def test_the_grout_of_a_job_with_positions_that_no_pile_serves_is_found(assessment):
    assert assessment.piles["pile_id"].isna().sum() > 1
    gaps = services.grouting(assessment).gaps
    assert gaps["pile_id"].tolist() == ["P-117"]


def test_every_open_finding_of_a_pile_shows_rows_of_the_raw_files(assessment):
    found = assessment.findings
    traced = set(assessment.evidence()["finding"])
    open_ = found[found["result"].isin(("not met", "noted"))]
    assert set(open_.index) <= traced
    rows = assessment.evidence("B04-2")
    torque = rows[rows["kind"].eq("required torque")]
    assert set(torque["file"]) == {"log_rig1_2026-09-15.csv"}


def test_a_finding_of_a_pile_sheet_shows_the_sheet_of_its_pile(assessment):
    rows = assessment.evidence("P-107")
    read = rows[rows["record"].eq("torque_reading")]
    assert set(zip(read["file"], read["sheet"], strict=True)) == {
        ("rig2_week_38.xlsx", "Pile P-107")
    }


def test_every_torque_derived_resistance_names_its_factor_and_source(assessment):
    shown = assessment.piles[assessment.piles["resistance_kn"].notna()]
    assert len(shown) > 100
    assert shown["torque_factor_source"].notna().all()


def test_the_steel_of_the_sample_is_the_same_from_piles_and_from_heats(assessment):
    trace = assessment.measured.trace
    by_pile, by_heat = set(), set()
    for pile in trace["pile_id"].unique():
        by_pile |= _with_heat(services.trace(assessment, "pile", pile).placed)
    heats = pd.concat([trace[["heat", "mill"]], assessment.measured.steel.heats[["heat", "mill"]]])
    for heat, mill in heats.dropna().drop_duplicates().itertuples(index=False):
        by_heat |= _with_heat(services.trace(assessment, "heat", heat, mill).placed)
    assert len(by_heat) > 400
    assert by_heat == by_pile


def _with_heat(placed):
    known = placed[placed["heat"].notna()]
    return set(zip(known["pile"], known["stamp"], known["piece"], known["heat"], strict=True))
