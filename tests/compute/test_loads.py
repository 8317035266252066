"""What the loads of each direction need, and whether the printed or the computed value governs."""

import numpy as np
import pandas as pd
import pytest

from core.compute.measures import loads

NAN = np.nan
CASE = {
    "section": "S",
    "direction": "compression",
    "grouted": False,
    "helix_set": "300",
    "ground_class": "sand",
    "design_compression_kn": 100.0,
    "design_tension_kn": NAN,
    "load_basis": "service",
    "load_nature": "sustained",
}
FACTORS = pd.DataFrame(
    {
        "id": ["C", "T"],
        "section": "S",
        "direction": ["compression", "tension"],
        "grouted": False,
        "helix_set": "300",
        "ground": ["any", "sand"],
        "source": ["tests in compression", "tests in tension"],
        "torque_factor_per_m": [20.0, 15.0],
    }
)
SAFETY = pd.DataFrame(
    {
        "direction": ["compression", "tension", "tension"],
        "nature": ["sustained", "sustained", "wind"],
        "value": [2.0, 3.0, 2.0],
        "clause": "invented",
    }
)


def case(factors=FACTORS, **changed):
    piles = pd.DataFrame([{**CASE, **changed}])
    texts = ["direction", "load_basis", "load_nature", "ground_class"]
    return loads.with_load_cases(piles.astype(dict.fromkeys(texts, "str")), SAFETY, factors).iloc[0]


def test_each_direction_has_its_own_safety_factor_torque_factor_and_torque():
    found = case(design_tension_kn=60.0)
    # 2 · 100 kN / 20 = 10 kN·m; 3 · 60 kN / 15 = 12 kN·m
    assert found["compression_torque_nm"] == pytest.approx(10_000)
    assert found["tension_torque_nm"] == pytest.approx(12_000)
    assert found["computed_torque_nm"] == pytest.approx(12_000)
    assert (found["computed_direction"], found["computed_whole"]) == ("tension", True)
    assert (found["factor_direction"], found["torque_factor_id"]) == ("compression", "C")
    assert (found["load_kn"], found["safety_factor"]) == (100, 2)


def test_the_safety_factor_is_that_of_the_nature_of_the_load():
    found = case(design_tension_kn=60.0, load_nature="wind")
    assert found["tension_torque_nm"] == pytest.approx(8_000)
    assert pd.isna(found["compression_torque_nm"])  # none is set for compression by wind
    assert not found["computed_whole"]


@pytest.mark.parametrize("blank", [NAN, 0.0])
def test_a_blank_or_zero_load_needs_nothing(blank):
    found = case(design_tension_kn=blank, ground_class="clay")
    assert (found["computed_torque_nm"], found["computed_whole"]) == (pytest.approx(10_000), True)


def test_a_load_without_its_factor_leaves_the_computed_torque_a_part():
    found = case(design_tension_kn=60.0, ground_class="clay")
    assert (found["computed_torque_nm"], found["computed_whole"]) == (pytest.approx(10_000), False)


@pytest.mark.parametrize("basis", ["factored", None])
def test_only_a_service_load_takes_a_safety_factor(basis):
    found = case(load_basis=basis)
    assert pd.isna(found["computed_torque_nm"])
    assert not found["computed_whole"]
    assert found["torque_factor_per_m"] == 20


def test_without_a_direction_on_the_schedule_the_one_that_governs_gives_the_factor():
    found = case(direction=None, design_tension_kn=60.0)
    assert (found["factor_direction"], found["torque_factor_id"]) == ("tension", "T")
    only = case(direction=None, design_compression_kn=NAN, design_tension_kn=60.0, load_basis=None)
    assert (only["factor_direction"], only["torque_factor_id"]) == ("tension", "T")
    none = case(direction=None, design_compression_kn=NAN)
    assert pd.isna(none["factor_direction"])
    assert pd.isna(none["torque_factor_per_m"])


REQUIREMENT = {
    "printed_torque_nm": 10_000.0,
    "computed_torque_nm": 10_000.0,
    "computed_whole": True,
    "cross_check_share": 0.05,
    "printed_governs": None,
    "torque_factor_per_m": 20.0,
    "final_torque_nm": 11_000.0,
    "schedule_rated_torque_nm": NAN,
    "section_rated_torque_nm": 15_000.0,
    "component_rated_torque_nm": NAN,
}


def requirement(**changed):
    piles = pd.DataFrame([{**REQUIREMENT, **changed}]).astype({"printed_governs": "str"})
    return loads.torque_requirements(piles).iloc[0]


@pytest.mark.parametrize(
    ("printed", "required", "by", "agrees"),
    [
        (9_600, 9_600, "printed", True),
        (9_500, 9_500, "printed", True),  # exactly on the share
        (9_499, 10_000, "computed, the greater", False),
        (10_500, 10_500, "printed", True),
        (10_501, 10_501, "printed, the greater", False),
        (3_048, 10_000, "computed, the greater", False),  # 1/ft used as 1/m
    ],
)
def test_within_the_share_the_printed_value_governs_and_beyond_it_the_greater(
    printed, required, by, agrees
):
    found = requirement(printed_torque_nm=float(printed))
    assert found["required_torque_nm"] == required
    assert (found["required_by"], found["printed_agrees"]) == (by, agrees)


def test_the_clause_lets_a_printed_value_govern_also_where_it_is_lower():
    found = requirement(printed_torque_nm=3_048.0, printed_governs="drawing S-2")
    assert (found["required_torque_nm"], found["required_by"]) == (3048, "printed, by its clause")
    assert found["printed_agrees"] is False


def test_what_is_missing_leaves_the_other_and_of_some_of_the_loads_a_part():
    alone = requirement(computed_torque_nm=NAN, computed_whole=False)
    assert (alone["required_torque_nm"], alone["required_by"]) == (10_000, "printed")
    assert (alone["printed_agrees"], alone["required_is_part"]) == (None, False)
    computed = requirement(printed_torque_nm=NAN)
    assert (computed["required_by"], computed["required_is_part"]) == ("computed", False)
    assert requirement(printed_torque_nm=NAN, computed_whole=False)["required_is_part"]
    neither = requirement(printed_torque_nm=NAN, computed_torque_nm=NAN, computed_whole=False)
    assert pd.isna(neither["required_torque_nm"])
    assert pd.isna(neither["required_by"])
