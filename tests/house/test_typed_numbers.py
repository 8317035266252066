"""No factor, limit or torque factor is typed inside a formula: numbers come as arguments.

Allowed are 0 to 4, halves, and the numbers listed here with their equation. A dimensional fit,
marked ``Empirical: units as stated``, carries the numbers of its source.
"""

from __future__ import annotations

import ast

import pytest

from tests.house.test_formula_units import EMPIRICAL
from tests.house.test_formulas import OF_FORMULAS
from tests.house.tree import name

PLAIN = {0, 1, 2, 3, 4, 0.5, 1.5, 2.5, 3.5}
OF_EQUATIONS = {
    "square_torsion_constant": {7.11},  # θ = 7.11·T·L/(s⁴·G), Civil Engineering Formulas, p. 47
    "square_torsion_modulus": {0.208},  # τ = T/(0.208·s³), the same page
}


def typed_numbers(source: str) -> list[tuple[str, float]]:
    """Function and number of every number in ``source`` that is neither plain nor listed."""
    found = []
    tree = ast.parse(source)
    functions = [node for node in tree.body if isinstance(node, ast.FunctionDef)]
    outside = [node for node in tree.body if node not in functions]
    for node in outside:
        found += [("the module", number) for number in numbers(node)]
    for function in functions:
        if EMPIRICAL in (ast.get_docstring(function) or ""):
            continue
        allowed = PLAIN | OF_EQUATIONS.get(function.name, set())
        found += [(function.name, one) for one in numbers(function) if one not in allowed]
    return found


def numbers(tree: ast.AST) -> list[float]:
    """Every number written in ``tree``."""
    constants = [node.value for node in ast.walk(tree) if isinstance(node, ast.Constant)]
    return [one for one in constants if isinstance(one, int | float) and not isinstance(one, bool)]


@pytest.mark.parametrize("path", OF_FORMULAS, ids=name)
def test_a_formula_has_no_number_of_its_own(path):
    assert typed_numbers(path.read_text(encoding="utf-8")) == []


def test_every_number_listed_stands_in_its_function():
    text = "\n".join(path.read_text(encoding="utf-8") for path in OF_FORMULAS)
    for function, listed in OF_EQUATIONS.items():
        (found,) = [
            node
            for node in ast.walk(ast.parse(text.replace("from __future__ import annotations", "")))
            if isinstance(node, ast.FunctionDef) and node.name == function
        ]
        assert listed <= set(numbers(found))


@pytest.mark.parametrize(
    ("source", "caught"),
    [
        ("def required(load_n):\n    return 2 * load_n / 23\n", [("required", 23)]),
        ("def feet(length_mm):\n    return length_mm / 304.8\n", [("feet", 304.8)]),
        ("KT = 33.0\n", [("the module", 33.0)]),
        (f'def fit(d_mm):\n    """Fit.\n\n    {EMPIRICAL}\n    """\n    return 1433 / d_mm\n', []),
        ("def half(x):\n    return 0.5 * x**3\n", []),
    ],
)
def test_a_typed_factor_is_caught(source, caught):
    assert typed_numbers(source) == caught
