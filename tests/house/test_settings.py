"""The template of a new project documents every criterion and its fields, and sets none."""

from __future__ import annotations

import re
import typing

import pytest
from pydantic import BaseModel

from core.project import CRITERIA, TEMPLATE, parse
from core.project.criteria import CriteriaSet, NotRequired

TEXT = TEMPLATE.read_text(encoding="utf-8")


def models(annotation) -> list[type[BaseModel]]:
    """Models named anywhere in a field's type."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [model for part in typing.get_args(annotation) for model in models(part)]


def section(criterion: str) -> str:
    """What the template says under a criterion, up to the next table."""
    found = re.search(rf"^\[criteria\.first\.{criterion}\]\n(.*?)(?=^\[|\Z)", TEXT, re.M | re.S)
    assert found, f"new_project.toml has no table for {criterion}"
    return found.group(1)


@pytest.mark.parametrize("criterion", CRITERIA)
def test_the_template_documents_every_field_of_the_criterion(criterion):
    annotation = CriteriaSet.model_fields[criterion].annotation
    (model,) = set(models(annotation)) - {NotRequired}
    asked = [name for name, field in model.model_fields.items() if field.is_required()]
    said = section(criterion)
    assert [name for name in asked if not re.search(rf"^# {name} =", said, re.M)] == []


def test_the_template_is_a_valid_project_that_sets_no_criterion():
    criteria = parse(TEXT).tables.criteria
    assert criteria
    for name, criteria_set in criteria.items():
        held = {criterion: getattr(criteria_set, criterion) for criterion in CRITERIA}
        assert all(value is None for value in held.values()), name


def test_the_template_says_how_a_criterion_is_declared_not_required():
    assert 'not_required = "' in TEXT
