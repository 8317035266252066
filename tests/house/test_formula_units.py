"""Every formula keeps its units: with quantities in other units it gives the same answer."""

from __future__ import annotations

import inspect
import re

import numpy as np
import pytest

from core import units
from tests.house.test_formulas import FORMULAS, UNIT
from tests.house.tree import ROOT

# One value per parameter name. A formula with a new name adds its own here.
VALUES = {
    "advance_mm": 280.0,
    "area_mm2": np.array([45_000.0, 62_000.0]),
    "axis_share": 0.24,
    "azimuth_deg": 35.0,
    "batched_l": 80.0,
    "batter_deg": 14.0,
    "below_water_m": 1.2,
    "bond_mpa": 0.095,
    "bore_mm": 76.9,
    "borehole_level_m": 5.1,
    "built_m": 1204.5,
    "calibration_nm": 45.0,
    "cement_kg_m3": 3150.0,
    "class_share": 0.01,
    "cohesion_factor": 9.0,
    "cohesion_mpa": 0.06,
    "coordinate_m": 1204.5,
    "column_mm": 900.0,
    "lower_mm": 2500,
    "upper_mm": 1000,
    "from_mm": 1500,
    "to_mm": 2500,
    "column_top_mm": 700.0,
    "count": 3,
    "coverage": 2.0,
    "cut_off_mm": 350.0,
    "cylinder_n": 89_060.0,
    "density_kg_m3": 1850.0,
    "depth_mm": np.array([300.0, 600.0, 900.0, 1200.0]),
    "depth_m": 6.69,
    "depth_ratio": 3.0,
    "design_m": 1203.9,
    "diameter_mm": 150.0,
    "disc_mm": 150.0,
    "displacement_cm3": 400.0,
    "effective_diameter_mm": 89.0,
    "efficiency": 0.9,
    "elastic_limit_nmm": 3.0e6,
    "embedment_mm": 4200.0,
    "end_n": 38_170.0,
    "exponent": 0.8,
    "factor_per_m": np.array([31.5, 34.2, 33.0, 30.1]),
    "failure_surface_depth_mm": 800.0,
    "first_disc_depth_mm": 700.0,
    "first_s": 14.2,
    "first_year_um": 40.0,
    "friction_deg": 35.0,
    "expanded_nm": np.array([170.0, 220.0]),
    "full_scale_kpa": 25_000.0,
    "full_scale_nm": 16_300.0,
    "gauge_kpa": 144.0,
    "gear_ratio": 12.0,
    "ground_level_m": 4.8,
    "grout_mm2": 15_000.0,
    "grout_mpa": 22_000.0,
    "grout_n": 300_000.0,
    "grout_share": 0.4,
    "grouted_length_mm": 3660.0,
    "height_mm": 3500.0,
    "helix_above_toe_mm": 1100.0,
    "helix_mm": 300.0,
    "individual_n": 114_510.0,
    "lateral_tangent": 0.92,
    "min_divisor": 1.05,
    "left_l": 6.0,
    "length_mm": 700.0,
    "level_m": 3.62,
    "load_n": 120_000.0,
    "longest_s": 35.0,
    "loss_mm": 0.9,
    "lost_height_mm": 400.0,
    "mean_divisor": 1.2,
    "net_l": 70.0,
    "nominal_s": 8.0,
    "offset_east_mm": 31.0,
    "offset_north_mm": -44.0,
    "other_azimuth_deg": 52.0,
    "other_batter_deg": 9.0,
    "outside_diameter_mm": 88.9,
    "overburden_factor": 33.3,
    "overburden_mpa": 0.108,
    "pin_torque_nm": 678.0,
    "pins": 6.0,
    "pitch_mm": 76.0,
    "placed_mm": 7500.0,
    "points_kpa": np.array([2000.0, 8000.0, 14_000.0]),
    "points_mm": np.array([0.0, 0.3, 0.6, 0.9]),
    "points_nm": np.array([1000.0, 4100.0, 7600.0]),
    "points_years": np.array([5.0, 25.0, 50.0, 75.0]),
    "predrilled_length_mm": 600.0,
    "pressure_kpa": np.array([2500.0, 9100.0]),
    "lower_kpa": 2000.0,
    "lower_nm": 1000.0,
    "upper_kpa": 8000.0,
    "upper_nm": 4100.0,
    "max_nm": 9800.0,
    "last_nm": 7000.0,
    "above_mm": 2400.0,
    "below_mm": 2700.0,
    "line_kpa": np.array([2500.0, 9100.0]),
    "return_kpa": 800.0,
    "pressure_mpa": 10.0,
    "reached": np.array([True, True, False, True]),
    "resistance_n": np.array([198_000.0, 210_000.0, 205_000.0, 190_000.0]),
    "resolution_kpa": 100.0,
    "resolution_nm": 68.0,
    "returned_l": 2.0,
    "printed_nm": 4500.0,
    "computed_nm": 5000.0,
    "safety_factor": 2.0,
    "second_s": 17.0,
    "shaft_area_mm2": 1451.6,
    "shape_coefficient": 0.25,
    "share": 0.1,
    "shear_modulus_mpa": 77_200.0,
    "shear_mpa": 0.06,
    "side_mm": 38.1,
    "spilled_l": 1.5,
    "spread_s": 1.8,
    "starts": np.array([0]),
    "steel_mm2": 1451.0,
    "steel_mpa": 200_000.0,
    "steel_n": 600_000.0,
    "steel_share": 0.47,
    "stick_up_mm": 400.0,
    "string_mm": 11_850.0,
    "stiffness_n": 6.2e8,
    "target_level_m": 3.05,
    "thickness_m": np.array([2.4, 3.1]),
    "thickness_mm": 38.1,
    "tilt_across_deg": 1.4,
    "tilt_east_deg": -0.6,
    "tilt_north_deg": 1.1,
    "tilt_one_deg": 0.8,
    "toe_mm": 1250.0,
    "tolerance_mm": 10.0,
    "tolerance_s": 0.2,
    "torque_factor_per_m": 23.0,
    "torque_nm": np.array([2000.0, 2600.0, 3900.0, 3700.0]),
    "torque_nmm": 2.7e6,
    "torque_per_pressure": 1.06,
    "torsion_constant_mm4": 296_000.0,
    "total_kpa": 105.2,
    "turns": 4.0,
    "ultimate_n": 150_000.0,
    "unit_weight_kn_m3": np.array([18.0, 20.0]),
    "void_l": 58.0,
    "wall_mm": 6.5,
    "water_cement": 0.45,
    "water_kg_m3": 1000.0,
    "water_kn_m3": 9.81,
    "water_level_m": 3.0,
    "water_s": 8.1,
    "years": 50.0,
}
OF_ONE_PILE = {"toe_mm": np.array([1250.0])}
OTHER = (
    "ft",
    "ft**2",
    "ft**3",
    "inch**4",
    "lb / ft**3",
    "ft**3 / lb",
    "ft * lbf / psi",
    "minute",
    "lbf / ft**3",
    "ft * lbf",
    "psi",
    "kip",
    "1 / ft",
    "radian",
)  # none is what a formula asks for


def arguments(label: str, function) -> dict[str, object]:
    """A value for each parameter of the function."""
    names = inspect.signature(function).parameters
    values = {**VALUES, **(OF_ONE_PILE if "starts" in names else {})}
    assert set(names) <= set(values), f"{label}: give a value for {set(names) - set(values)}"
    return {name: values[name] for name in names}


def quantities(function, plain: dict[str, object]) -> dict[str, object]:
    """The same values as quantities, in a unit that the formula does not ask for."""
    told = {}
    for name, value in plain.items():
        line = re.search(rf"^{name}: .*$", inspect.getdoc(function), re.M).group()
        unit = UNIT.search(line).group(1)
        if unit == "-":
            told[name] = value
            continue
        quantity = units.REGISTRY.Quantity(value, unit)
        told[name] = quantity.to(next(o for o in OTHER if quantity.is_compatible_with(o)))
    return told


def answered(function, told: dict[str, object]):
    """The formula's answer to quantities.

    Formulas over many piles at once use array functions that take no quantities: they get the
    numbers, lengths in ft and torques in ft·lbf, and so must answer in ft·lbf.
    """
    if "starts" not in told:
        return function(**told)
    numbers = {name: getattr(value, "magnitude", value) for name, value in told.items()}
    return units.REGISTRY.Quantity(function(**numbers), "ft * lbf")


EMPIRICAL = "Empirical: units as stated."
FITS = {name: f for name, f in FORMULAS.items() if EMPIRICAL in inspect.getdoc(f)}
CONSISTENT = {name: f for name, f in FORMULAS.items() if name not in FITS}


@pytest.mark.parametrize("label", FITS)
def test_a_dimensional_fit_has_a_test_of_its_own(label: str):
    tests = (path.read_text(encoding="utf-8") for path in (ROOT / "tests/formulas").rglob("*.py"))
    assert any(f"{label.rpartition('.')[2]}(" in text for text in tests)


@pytest.mark.parametrize(("label", "function"), CONSISTENT.items(), ids=CONSISTENT)
def test_a_formula_gives_the_same_answer_in_other_units(label: str, function):
    plain = arguments(label, function)
    expected = function(**plain)
    assert np.all(np.isfinite(expected))
    answer = answered(function, quantities(function, plain))
    unit = UNIT.search(inspect.getdoc(function).splitlines()[0]).group(1)
    if hasattr(answer, "to"):
        answer = answer.to("dimensionless" if unit == "-" else unit).magnitude
    else:
        assert unit == "-"
    np.testing.assert_allclose(answer, expected, rtol=1e-9)


def test_a_formula_that_converts_by_a_bare_number_is_caught():
    def torque(force_n, arm_mm):
        """Torque of a force on an arm [N*m].

        force_n: force [N]
        arm_mm: arm [mm]
        """
        return force_n * arm_mm / 1000

    answer = answered(torque, quantities(torque, {"force_n": 10.0, "arm_mm": 500.0}))
    assert answer.to("N * m").magnitude != pytest.approx(torque(10.0, 500.0))
