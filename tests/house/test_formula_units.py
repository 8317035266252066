"""Every formula keeps its units: with quantities in other units it gives the same answer."""

from __future__ import annotations

import inspect
import re

import numpy as np
import pytest

from core import units
from tests.house.test_formulas import FORMULAS, UNIT

# One value per parameter name. A formula with a new name adds its own here.
VALUES = {
    "advance_mm": 280.0,
    "axis_share": 0.24,
    "azimuth_deg": 35.0,
    "batched_l": 80.0,
    "batter_deg": 14.0,
    "bore_mm": 76.9,
    "coordinate_m": 1204.5,
    "cut_off_mm": 350.0,
    "depth_mm": np.array([300.0, 600.0, 900.0, 1200.0]),
    "disc_mm": 150.0,
    "embedment_mm": 4200.0,
    "first_disc_depth_mm": 700.0,
    "height_mm": 3500.0,
    "helix_above_toe_mm": 1100.0,
    "helix_mm": 300.0,
    "left_l": 6.0,
    "length_mm": 700.0,
    "level_m": 3.62,
    "load_n": 120_000.0,
    "lost_height_mm": 400.0,
    "net_l": 70.0,
    "net_mm3": 7.0e7,
    "offset_east_mm": 31.0,
    "offset_north_mm": -44.0,
    "other_azimuth_deg": 52.0,
    "other_batter_deg": 9.0,
    "outside_mm": 88.9,
    "pitch_mm": 76.0,
    "placed_mm": 7500.0,
    "points_kpa": np.array([2000.0, 8000.0, 14_000.0]),
    "points_nm": np.array([1000.0, 4100.0, 7600.0]),
    "predrilled_mm": 600.0,
    "pressure_kpa": np.array([2500.0, 9100.0]),
    "returned_l": 2.0,
    "safety_factor": 2.0,
    "shaft_area_mm2": 1451.6,
    "side_mm": 38.1,
    "spilled_l": 1.5,
    "starts": np.array([0]),
    "stick_up_mm": 400.0,
    "target_level_m": 3.05,
    "tilt_across_deg": 1.4,
    "tilt_east_deg": -0.6,
    "tilt_north_deg": 1.1,
    "tilt_one_deg": 0.8,
    "toe_mm": 1250.0,
    "tolerance_mm": 10.0,
    "torque_factor_per_m": 23.0,
    "torque_nm": np.array([2000.0, 2600.0, 3900.0, 3700.0]),
    "turns": 4.0,
    "void_l": 58.0,
}
OF_ONE_PILE = {"toe_mm": np.array([1250.0])}
OTHER = (
    "ft",
    "ft**2",
    "ft**3",
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


@pytest.mark.parametrize(("label", "function"), FORMULAS.items(), ids=FORMULAS)
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
