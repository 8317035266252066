"""A formula that states its equation gives every parameter a symbol that the equation uses."""

import inspect

import pytest

from core.compute import grout, torque
from core.subjects.described import described
from tests.house.test_formulas import FORMULAS

STATED = {
    name: one for name, one in FORMULAS.items() if "Equation: " in (inspect.getdoc(one) or "")
}
# These take readings pile by pile; their equation is about those of one window.
BY_PILE = {"final_torque", "final_torques_by_length", "drop_at_end"}


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
