"""What the loads of each direction need, and whether the printed or the computed value governs."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.subjects.frames import frame_of_table
from core.subjects.piles.measures import Loads, Resistances
from tests.subjects.given import Given
from tests.subjects.piles.cases import one_position

NAN = np.nan


def case(**changed):
    rows = one_position(**changed)
    return pd.concat([rows.frame(), frame_of_table(Loads(rows))], axis=1).iloc[0]


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
    found = case(required_torque_nm=float(printed))
    assert found["required_torque_nm"] == required
    assert (found["required_by"], found["printed_agrees"]) == (by, agrees)


def test_without_a_share_the_greater_governs_and_nothing_agrees():
    found = case(required_torque_nm=9_999.0, cross_check_share=None)
    assert (found["required_torque_nm"], found["printed_agrees"]) == (10_000, False)


def test_by_its_clause_a_printed_value_governs_also_where_it_is_lower():
    found = case(required_torque_nm=3_048.0, printed_governs="drawing S-2")
    assert (found["required_torque_nm"], found["required_by"]) == (3048, "printed, by its clause")
    assert found["printed_agrees"] is False


def test_what_is_missing_leaves_the_other_and_of_some_of_the_loads_a_part():
    alone = case(required_torque_nm=10_000.0, load_basis=None)
    assert (alone["required_torque_nm"], alone["required_by"]) == (10_000, "printed")
    assert (alone["printed_agrees"], alone["required_is_part"]) == (None, False)
    computed = case()
    assert (computed["required_by"], computed["required_is_part"]) == ("computed", False)
    assert case(design_tension_kn=60.0, ground_class="clay")["required_is_part"]
    neither = case(load_basis=None)
    assert pd.isna(neither["required_torque_nm"])
    assert pd.isna(neither["required_by"])


CASE = {"design_compression_kn": 100.0, "design_tension_kn": 60.0, "required_torque_nm": 11_000.0,
        "load_basis": "service", "load_nature": "sustained", "ground_class": "sand",
        "direction": "compression", "cross_check_share": 0.05, "section": "S"}  # fmt: skip


@settings(deadline=None)
@given(st.sets(st.sampled_from(sorted(CASE))), st.sampled_from([None, 8_000.0, 11_000.0]))
def test_a_gap_never_lowers_a_requirement_without_a_mark(gaps, printed):
    whole = case(**{**CASE, "required_torque_nm": printed})
    found = case(**{**CASE, "required_torque_nm": printed, **dict.fromkeys(gaps)})
    known = whole["required_torque_nm"]
    lowered = pd.isna(found["required_torque_nm"]) or found["required_torque_nm"] >= known
    # A load that is not recorded is none; of the rest something marks what is not known.
    marked = found["required_is_part"] or found["printed_agrees"] is None
    marked |= not found["computed_whole"]
    assert lowered or marked or gaps & {"design_tension_kn", "design_compression_kn"}


def resistances(final=11_000.0, component=NAN, **changed):
    rows = one_position(**changed)
    rows = rows.with_number("final_torque_nm", np.array([final]))
    rows = rows.with_number("component_rated_torque_nm", np.array([component]))
    other = Given(rows)
    return frame_of_table(Resistances(rows, loads=Loads(rows), torque=other, steel=other)).iloc[0]


def test_the_weakest_part_of_the_string_gives_the_rated_torque():
    assert resistances()["rated_torque_nm"] == 15_000
    assert resistances(rated_torque_nm=14_000.0)["rated_torque_nm"] == 14_000
    assert resistances(component=12_000.0)["rated_torque_nm"] == 12_000
    assert pd.isna(resistances(section_rated_torque_nm=None)["rated_torque_nm"])


def test_the_final_torque_implies_a_resistance_by_the_torque_factor():
    found = resistances()  # 20 1/m · 11 kN·m
    assert found["resistance_kn"] == pytest.approx(220)
    assert pd.isna(resistances(final=NAN)["resistance_kn"])
    assert pd.isna(resistances(section="S2")["resistance_kn"])


def test_the_first_of_the_weakest_parts_gives_the_structural_resistance():
    found = resistances()
    assert (found["structural_kn"], found["structural_by"]) == (700, "helix plates")
    alike = resistances(coupling_kn=700.0, shaft_kn=None)
    assert (alike["structural_kn"], alike["structural_by"]) == (700, "coupling")
    none = resistances(coupling_kn=None, shaft_kn=None, helix_plates_kn=None)
    assert none[["structural_kn", "structural_by"]].isna().all()
    assert not none["over_structural"]


def test_a_resistance_is_over_the_structural_one_beyond_it_alone():
    # 20 1/m · 35 kN·m = 700 kN
    assert not resistances(final=35_000.0)["over_structural"]
    assert resistances(final=35_001.0)["over_structural"]
    assert not resistances(final=NAN)["over_structural"]
