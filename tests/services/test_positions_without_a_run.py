"""A position asks for its torque before anything is in the ground."""

from core import services
from tests.services.small import SCHEDULE, SETTINGS, log, small_project, take_in

LOADS = SCHEDULE.replace("Required torque (kN·m)", "Design compression (kN),Load basis,Load nature")
LOADS = LOADS.replace("compression,5.0,", "compression,60,service,sustained,")
SAFETY = """
[[safety_factors]]
direction = "compression"
nature = "sustained"
value = 2.0
clause = "invented"
"""


def row(assessment, position):
    piles = assessment.piles
    return piles[piles["position_id"].eq(position)].iloc[0]


def test_a_position_without_a_run_has_the_torque_that_its_schedule_prints_and_its_rating(tmp_path):
    found = row(services.assess(small_project(tmp_path, log("101"))), "102")
    assert (found["runs"], found["required_torque_nm"]) == (0, 5000)
    assert (found["rated_torque_nm"], found["torque_factor_per_m"]) == (12000, 23)


def test_a_position_without_a_run_has_the_torque_that_its_loads_ask_for(tmp_path):
    folder = small_project(tmp_path)
    (folder / "project.toml").write_text(SETTINGS + SAFETY, encoding="utf-8")
    revised = LOADS.replace(",A,2026-02-01", ",B,2026-02-02")
    assert not take_in(folder, ("loads.csv", revised)).refused
    found = row(services.assess(folder), "103")
    assert found["pile_id"] != found["pile_id"]  # no pile serves it
    # 2.0 × 60 kN / 23 1/m = 5217 N·m
    assert round(found["required_torque_nm"]) == round(found["computed_torque_nm"]) == 5217


def test_the_same_pile_with_and_without_a_run_asks_for_the_same(tmp_path):
    before = row(services.assess(small_project(tmp_path / "before")), "101")
    after = row(services.assess(small_project(tmp_path / "after", log("101"))), "101")
    names = ["required_torque_nm", "rated_torque_nm", "torque_factor_per_m", "computed_torque_nm"]
    assert before[names].fillna(0).to_dict() == after[names].fillna(0).to_dict()
