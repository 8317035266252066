"""Every formula names its source and the unit of each parameter and of its answer."""

from __future__ import annotations

import ast
import importlib
import inspect
import re

import pytest

from core import units
from tests.house.tree import files, name

UNIT = re.compile(r"\[([^\]]+)\]\s*\.?$")
NO_UNIT = "-"


def public_functions(modules):
    """(label, function) of every public function that the modules define themselves."""
    for path in modules:
        module = importlib.import_module(name(path).removesuffix(".py").replace("/", "."))
        for label, function in inspect.getmembers(module, inspect.isfunction):
            if function.__module__ == module.__name__ and not label.startswith("_"):
                yield f"{module.__name__}.{label}", function


COMPUTE = [path for path in files(".py", under=("core/formulas",)) if path.name != "__init__.py"]
OF_FORMULAS = [path for path in COMPUTE if "selection" not in path.parts]  # no arithmetic there
FORMULAS = dict(public_functions(OF_FORMULAS))


# Formulas that no part of core uses, beside those of the domain checks, whose names stay.
LOAD_TEST = "a formula of load tests"
PUBLISHED = "checked against a printed value of a named source"
KEPT = {
    "calibrated_pressure": LOAD_TEST,  # the load of a step in units of the gauge
    "characteristic_resistance": LOAD_TEST,
    "composite_stiffness": LOAD_TEST,
    "shortening": LOAD_TEST,
    "tested_factor": LOAD_TEST,
    "after_loss": PUBLISHED,
    "calibrated_torque": PUBLISHED,
    "square_second_moment": PUBLISHED,
    "square_torsion_modulus": PUBLISHED,
    "tube_torsion_modulus": PUBLISHED,
    "final_torques": "the plain mean that the benchmark of means is measured by",
}


def names_taken(text: str) -> set[str]:
    """Names that a module imports from room compute, or takes from a module of it."""
    tree, here = ast.parse(text), {}
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("core.formulas"):
            here |= {one.asname or one.name: one.name for one in node.names}
    used = {node.id for node in ast.walk(tree) if isinstance(node, ast.Name)}
    of_module = {
        node.attr
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute) and getattr(node.value, "id", "") in here
    }
    return {own for word, own in here.items() if word in used} | of_module


CORE = {name(path): names_taken(path.read_text()) for path in files(".py", under=("core",))}
CHECKS = [path.read_text() for path in files(".py", under=("tests/formulas/domain_checks",))]


def users(function) -> list[str]:
    """Modules of core outside a formula's own that use it; handing it on is no use."""
    own = function.__module__.replace(".", "/") + ".py"
    return [path for path, taken in CORE.items() if path != own and function.__name__ in taken]


def is_checked(function) -> bool:
    """Whether a domain check names a formula."""
    word = re.compile(rf"\b{function.__name__}\(")
    return any(word.search(text) for text in CHECKS)


def faults(function) -> list[str]:
    """What a formula's docstring leaves out."""
    told = inspect.getdoc(function) or ""
    lines = told.splitlines()
    found = [] if re.search(r"^Source: \S.*", told, re.M) else ["no Source: line"]
    said = {"the answer": lines[0] if lines else ""}
    for parameter in inspect.signature(function).parameters:
        said[parameter] = next((ln for ln in lines if ln.startswith(f"{parameter}: ")), "")
    for what, line in said.items():
        unit = UNIT.search(line)
        if unit is None:
            found.append(f"no unit for {what}")
        elif unit.group(1) != NO_UNIT:
            units.REGISTRY.parse_units(unit.group(1))
    return found


def disagreements(function) -> list[str]:
    """Parameters whose name ends in another unit than their line says."""
    found = []
    for line in (inspect.getdoc(function) or "").splitlines():
        parameter, unit = line.partition(":")[0], UNIT.search(line)
        suffix = units.suffix_of(parameter)
        if parameter in inspect.signature(function).parameters and suffix and unit:
            told = units.REGISTRY.parse_units(unit.group(1))
            if told != units.REGISTRY.parse_units(suffix.expression):
                found.append(line)
    return found


def test_there_are_formulas_to_check():
    assert len(FORMULAS) > 10


@pytest.mark.parametrize("function", FORMULAS.values(), ids=FORMULAS)
def test_a_formula_names_its_source_and_its_units(function):
    assert faults(function) == []


@pytest.mark.parametrize("function", FORMULAS.values(), ids=FORMULAS)
def test_a_parameters_name_and_line_give_the_same_unit(function):
    assert disagreements(function) == []


@pytest.mark.parametrize("function", FORMULAS.values(), ids=FORMULAS)
def test_a_formula_is_used_by_core_or_kept_for_a_named_reason(function):
    assert users(function) or is_checked(function) or function.__name__ in KEPT


def test_every_formula_that_is_kept_exists_and_is_used_nowhere():
    unused = {one.__name__ for one in FORMULAS.values() if not users(one) and not is_checked(one)}
    assert unused == set(KEPT)


def test_a_parameter_or_an_attribute_of_a_formulas_name_is_no_use_of_it():
    text = (
        "from core.formulas import torque\nfound = torque.resistance(variation=table.mean_factor)"
    )
    assert names_taken(text) == {"torque", "resistance"}


def test_a_formula_without_source_or_units_is_caught():
    def area(width_mm, length_mm):
        """Area of a plate.

        width_mm: width [mm]
        length_mm: length
        """
        return width_mm * length_mm

    assert faults(area) == ["no Source: line", "no unit for the answer", "no unit for length_mm"]


def test_a_parameter_in_another_unit_than_its_name_is_caught():
    def double(width_mm):
        """Twice the width [mm].

        width_mm: width [m]

        Source: arithmetic.
        """
        return 2 * width_mm

    assert faults(double) == []
    assert disagreements(double) == ["width_mm: width [m]"]
