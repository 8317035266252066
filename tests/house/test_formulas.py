"""Every formula names its source and the unit of each parameter and of its answer."""

from __future__ import annotations

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


COMPUTE = [path for path in files(".py", under=("core/compute",)) if path.name != "__init__.py"]
NO_FORMULAS = {"measures", "selection"}  # folders of room compute that hold no arithmetic of theirs
OF_FORMULAS = [path for path in COMPUTE if NO_FORMULAS.isdisjoint(path.parts)]
FORMULAS = dict(public_functions(OF_FORMULAS))
MEASURES = dict(public_functions(p for p in COMPUTE if "measures" in p.parts))


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


@pytest.mark.parametrize("function", MEASURES.values(), ids=MEASURES)
def test_a_measure_says_what_it_gives(function):
    assert (inspect.getdoc(function) or "").strip()


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
