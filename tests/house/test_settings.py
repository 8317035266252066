"""The template of a new project documents every criterion and its fields, and sets none."""

from __future__ import annotations

import re

import pytest

from core import units
from core.criteria.base import Table
from core.criteria.quantities import fields_by_key, key_of
from core.settings import parse_project, project_template
from core.subjects.registry import CRITERIA, CRITERION, LATER_PARAMETERS, RULES
from core.units import SPELLINGS, quantities

TEXT = project_template()


def section(criterion: str) -> str:
    """What the template says under a criterion, up to the next table."""
    found = re.search(rf"^\[criteria\.first\.{criterion}\]\n(.*?)(?=^\[|\Z)", TEXT, re.M | re.S)
    assert found, f"new_project.toml has no table for {criterion}"
    return found.group(1)


@pytest.mark.parametrize("criterion", CRITERIA)
def test_the_template_documents_every_field_of_the_criterion(criterion):
    later = {name for name in LATER_PARAMETERS if name.startswith(f"{criterion}.")}
    asked = [
        name
        for name, field in CRITERION[criterion].model_fields.items()
        if field.is_required() or f"{criterion}.{name}" in later
    ]
    said = section(criterion)
    assert [name for name in asked if not re.search(rf"^# {key_of(name)} =", said, re.M)] == []


def test_every_later_parameter_is_optional_and_some_rule_waits_for_it():
    for name in LATER_PARAMETERS:
        criterion, _, parameter = name.partition(".")
        field = CRITERION[criterion].model_fields[parameter]
        assert (field.is_required(), field.default) == (False, None), name
    assert {name for rule in RULES for name in rule.kind.needs} == set(LATER_PARAMETERS)


def test_the_template_is_a_valid_project_that_sets_no_criterion():
    criteria = parse_project(TEXT).tables.criteria
    assert criteria
    for name, criteria_set in criteria.items():
        held = {criterion: getattr(criteria_set, criterion) for criterion in CRITERIA}
        assert all(value is None for value in held.values()), name


def test_the_template_says_how_a_criterion_is_declared_not_required():
    assert 'not_required = "' in TEXT


def tables(of: type[Table] = Table) -> list[type[Table]]:
    """Every table of project.toml, found through the class that they share."""
    return [one for child in of.__subclasses__() for one in (child, *tables(child))]


WITH_UNITS = [table for table in tables() if fields_by_key(table)]


@pytest.mark.parametrize("table", WITH_UNITS, ids=lambda table: table.__name__)
def test_the_key_of_a_quantity_is_no_other_field_and_its_unit_says_which_field_is_meant(table):
    for key, fields in fields_by_key(table).items():
        assert key not in table.model_fields
        spellings = [set(SPELLINGS[units.role_of(field)]) for field in fields]
        assert sum(map(len, spellings)) == len(set().union(*spellings)), (key, fields)


@pytest.mark.parametrize("table", WITH_UNITS, ids=lambda table: table.__name__)
def test_the_template_documents_the_key_of_every_quantity_and_no_key_of_a_bare_number(table):
    for key, fields in fields_by_key(table).items():
        assert re.search(rf"^# {key} = [\"\[{{]", TEXT, re.M), key
        assert [name for name in fields if re.search(rf"\b{name}\b", TEXT)] == []


@pytest.mark.parametrize(
    "column",
    sorted({name for table in WITH_UNITS for one in fields_by_key(table).values() for name in one}),
)
def test_the_unit_that_ends_a_field_is_a_unit_that_its_quantity_may_have(column):
    told = quantities.what_to_write([column])
    written = re.search(r'such as "10 (.+)"', told)
    assert written is not None
    assert quantities.read(f"10 {written.group(1)}", [column]).value == pytest.approx(10, rel=1e-12)
