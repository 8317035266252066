"""A formula that states its equation gives every parameter a symbol, and does what it states."""

import inspect
from typing import Any

import numpy as np
import pytest

from core.formulas import grout, torque
from core.subjects.steps import described, lowered
from tests.equations import quantity, result, unit
from tests.house.test_formula_units import VALUES
from tests.house.test_formulas import FORMULAS

STATED = {
    name: one for name, one in FORMULAS.items() if "Equation: " in (inspect.getdoc(one) or "")
}
# These take readings pile by pile; their equation is about those of one window.
BY_PILE = {"final_torque", "final_torques_by_length", "drop_at_end"}

# These take readings with the runs or curves to which they belong, not one number a symbol.
OF_CURVES = {*BY_PILE, "calibrated_torque"}


def test_the_formulas_of_the_worksheet_state_their_equations():
    assert len(STATED) > 20


@pytest.mark.parametrize("formula", STATED.values(), ids=STATED)
def test_every_parameter_has_a_symbol_that_the_equation_uses(formula):
    about = described(formula)
    parameters = set(inspect.signature(formula).parameters)
    assert set(about.symbols) <= parameters
    if formula.__name__ not in BY_PILE:
        assert set(about.symbols) == parameters
    for symbols in about.symbols.values():
        for symbol in symbols.replace("…", "").split():
            assert symbol in about.equation, symbol


def numbers_of(symbol: str, value: object, printed: str) -> list[tuple[str, Any]]:
    """A value under its symbol; every member of an array under a symbol of several, else one."""
    if "…" not in symbol:
        return [(symbol, quantity(float(np.ravel(value)[0]), printed))]
    family = symbol.split("₁")[0]
    members = np.ravel(value).tolist()
    return [(family + lowered(at), quantity(one, printed)) for at, one in enumerate(members, 1)]


@pytest.mark.parametrize("name", [one for one in STATED if STATED[one].__name__ not in OF_CURVES])
def test_the_equation_of_a_formula_says_what_it_does(name):
    formula = STATED[name]
    about = described(formula)
    given = {one: VALUES[one] for one in inspect.signature(formula).parameters}
    several = [one for one in given if "…" in about.symbols[one]]
    size = min((np.size(given[one]) for one in several), default=1)
    given |= {one: np.ravel(given[one])[:size] for one in several}
    numbers = [
        number
        for one, value in given.items()
        for number in numbers_of(about.symbols[one], value, about.units[one])
    ]
    worked = (result(about.equation, numbers) / unit(about.unit)).to("dimensionless").magnitude
    assert float(np.ravel(formula(**given))[0]) == pytest.approx(worked, rel=1e-9)


def test_the_description_of_a_formula():
    about = described(grout.void_volume)
    assert about.equation == "V = (π/4·d² − A)·L"
    assert about.symbols["shaft_area_mm2"] == "A"
    assert about.units["shaft_area_mm2"] == "mm²"
    assert about.descriptions["shaft_area_mm2"] == "outside cross-section of the shaft"
    assert about.unit == "mm³"
    assert about.source.startswith("geometry of a hollow cylinder")


def test_a_formula_without_an_equation_is_refused():
    with pytest.raises(ValueError, match="in_final_window states no equation"):
        described(torque.in_final_window)
