"""The sample project from its raw files: what is planted is found, and nothing else."""

import csv

import pytest

from core import flow
from tests.conftest import SAMPLE

PLANTED_RESULTS = ("not met", "no evidence", "noted", "waiting", "within measurement uncertainty")


@pytest.fixture(scope="module")
def assessment(built_sample):
    return flow.assess(built_sample[0])


def test_the_findings_on_the_judging_day_are_exactly_the_planted_ones(assessment):
    found = assessment.findings
    open_ = found[found["result"].isin(PLANTED_RESULTS)]
    listed = list(zip(open_["subject"], open_["kind"], open_["result"], strict=True))
    with (SAMPLE / "planted.csv").open(encoding="utf-8") as lines:
        planted = [(r["subject"], r["kind"], r["result"]) for r in csv.DictReader(lines)]
    assert sorted(listed) == sorted(planted)


def test_the_engineers_sign_offs_stand_and_the_replaced_pile_is_replaced(assessment):
    with (SAMPLE / "sign_offs.csv").open(encoding="utf-8") as lines:
        signed = {row["pile"] for row in csv.DictReader(lines)}
    assert assessment.counts["accepted"] == len(signed) > 45
    states = assessment.piles.set_index("pile_id")["state"]
    assert states["B15-1"] == "replaced"
    assert states["B15-1R"] == "accepted"
    assert "B15-1" not in set(assessment.attention["subject"])
    positions = assessment.positions.set_index("position_id")
    assert positions.loc["B15-1", "satisfied"]
    assert assessment.satisfied == positions.loc[positions["live"], "satisfied"].sum()


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
