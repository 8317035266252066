"""The template of a new project documents every criterion and its fields, and sets none."""

from __future__ import annotations

import re

import pytest

from core.criteria import CRITERION, RULES
from core.project import CRITERIA, LATER_PARAMETERS, TEMPLATE, parse

TEXT = TEMPLATE.read_text(encoding="utf-8")


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
    assert [name for name in asked if not re.search(rf"^# {name} =", said, re.M)] == []


def test_every_later_parameter_is_optional_and_some_rule_waits_for_it():
    for name in LATER_PARAMETERS:
        criterion, _, parameter = name.partition(".")
        field = CRITERION[criterion].model_fields[parameter]
        assert (field.is_required(), field.default) == (False, None), name
    assert {name for rule in RULES for name in rule.kind.needs} == set(LATER_PARAMETERS)


def test_the_template_is_a_valid_project_that_sets_no_criterion():
    criteria = parse(TEXT).tables.criteria
    assert criteria
    for name, criteria_set in criteria.items():
        held = {criterion: getattr(criteria_set, criterion) for criterion in CRITERIA}
        assert all(value is None for value in held.values()), name


def test_the_template_says_how_a_criterion_is_declared_not_required():
    assert 'not_required = "' in TEXT
