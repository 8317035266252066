"""All criteria and kinds of finding, gathered from the rules of every subject.

The table of project.toml, the kinds of finding, the rules and the order of all are made here from
what ``core/subjects/<subject>/rules.py`` declares.
"""

from __future__ import annotations

from collections.abc import Iterable
from importlib import import_module
from pkgutil import iter_modules
from types import ModuleType
from typing import TYPE_CHECKING, Annotated, Any, Literal, TypeVar, get_args, get_origin

from pydantic import Tag, create_model

from core import subjects
from core.criteria import kinds
from core.criteria.base import (
    WAY,
    CriteriaTable,
    Criterion,
    Feeds,
    Later,
    Not,
)
from core.criteria.kinds import FindingKind, Maker, Rule

# Subjects in the order of lists; those not named here follow by name.
FIRST = ("torque", "piles", "grout", "survey", "steel")
_Declared = TypeVar("_Declared", type[Criterion], FindingKind)


def _of_subject(subject: str) -> list[ModuleType]:
    """The modules of rules of one subject: ``rules``, then others whose names end so."""
    package = import_module(f"core.subjects.{subject}")
    names = [one.name for one in iter_modules(package.__path__) if one.name.endswith("rules")]
    return [
        import_module(f"{package.__name__}.{name}")
        for name in sorted(names, key=lambda name: (name != "rules", name))
    ]


def _modules() -> list[ModuleType]:
    """The modules that declare criteria or kinds of finding, in the order of lists."""
    folders = sorted(one.name for one in iter_modules(subjects.__path__) if one.ispkg)
    ordered = [*FIRST, *(name for name in folders if name not in FIRST)]
    return [kinds, *(module for name in ordered for module in _of_subject(name))]


def _classes(module: ModuleType) -> list[type[Criterion]]:
    """The criteria that ``module`` declares; a class without findings may be a base of others."""
    own = [
        value
        for value in vars(module).values()
        if isinstance(value, type)
        and issubclass(value, Criterion)
        and value.__module__ == module.__name__
    ]
    return [one for one in own if one.findings or not one.__subclasses__()]


def _kinds(module: ModuleType) -> list[FindingKind]:
    """The kinds of finding that ``module`` declares, inside its criteria and beside them."""
    classes, found = _classes(module), list[FindingKind]()
    for value in vars(module).values():
        if isinstance(value, type) and value in classes:
            found += value.findings
        elif isinstance(value, FindingKind):
            found.append(value)
    return found


def _in_order(declared: Iterable[_Declared], name: str) -> dict[str, _Declared]:
    """``declared`` by the attribute ``name``, each behind the one that its ``after`` names.

    Raises ValueError for a name declared twice, and for an ``after`` that names nothing.
    """
    by_name: dict[str, _Declared] = {}
    for one in declared:
        if by_name.setdefault(getattr(one, name), one) is not one:
            raise ValueError(
                f"{getattr(one, name)} is declared twice in the rules of core/subjects"
            )
    order = [key for key, one in by_name.items() if not one.after]
    waiting = [key for key, one in by_name.items() if one.after]
    while waiting:
        placed = [key for key in waiting if by_name[key].after in order]
        if not placed:
            raise ValueError(
                f"after: {by_name[waiting[0]].after} is not declared in the rules of core/subjects"
            )
        for key in reversed(placed):  # of several behind one the first declared is next to it
            order.insert(order.index(by_name[key].after) + 1, key)
        waiting = [key for key in waiting if key not in placed]
    return {key: by_name[key] for key in order}


_MODULES = _modules()
CRITERION: dict[str, type[Criterion]] = _in_order(
    (one for module in _MODULES for one in _classes(module)), "key"
)
CRITERIA: tuple[str, ...] = tuple(CRITERION)
# By id, and by the word that screens show.
FINDING: dict[str, FindingKind] = _in_order(
    (kind for module in _MODULES for kind in _kinds(module)), "id"
)
FINDING_KINDS: tuple[FindingKind, ...] = tuple(FINDING.values())
FINDING_KIND: dict[str, FindingKind] = {kind.word: kind for kind in FINDING_KINDS}
RULES: tuple[Rule, ...] = tuple(
    Rule(kind, key, decide)
    for key, criterion in CRITERION.items()
    for kind in criterion.findings
    for decide in kind.decides
)
MAKERS: tuple[Maker, ...] = tuple(
    value for module in _MODULES for value in vars(module).values() if isinstance(value, Maker)
)


def kinds_of(subject: str) -> tuple[FindingKind, ...]:
    """The kinds of finding that the rules of ``subject`` declare, in the order of lists."""
    declared = [kind for module in _of_subject(subject) for kind in _kinds(module)]
    return tuple(kind for kind in FINDING_KINDS if kind in declared)


if TYPE_CHECKING:
    CriteriaSet = CriteriaTable
else:
    CriteriaSet = create_model(
        "CriteriaSet",
        __base__=CriteriaTable,
        **{
            key: (Annotated[Not | Annotated[one, Tag("set")], WAY] | None, None)
            for key, one in CRITERION.items()
        },
    )
    CriteriaSet.__doc__ = CriteriaTable.__doc__


# Parameters newer than their criterion, as ``criterion.parameter``.
LATER_PARAMETERS: tuple[str, ...] = tuple(
    f"{key}.{name}"
    for key, criterion in CRITERION.items()
    for name, field in criterion.model_fields.items()
    if any(isinstance(mark, Later) for mark in field.metadata)
)


def _is_number(annotation: Any) -> bool:
    """Whether a parameter of this type is a number, or missing."""
    origin = get_origin(annotation)
    if origin is Literal:
        return False
    parts = [part for part in get_args(annotation) if part is not type(None)]
    parts = parts[:1] if origin is Annotated else parts
    return all(_is_number(part) for part in parts) if parts else annotation in (int, float)


# Parameters that measures need: criterion, parameter, name of the measure's column, its dtype.
PARAMETERS: tuple[tuple[str, str, str, str], ...] = tuple(
    (key, name, mark.name, "float64" if _is_number(field.annotation) else "str")
    for key, criterion in CRITERION.items()
    for name, field in criterion.model_fields.items()
    for mark in field.metadata
    if isinstance(mark, Feeds)
)
