"""What settings do not say of a pile type: criteria and parameters that later programs know."""

from __future__ import annotations

from math import isclose
from typing import Any

from core.criteria.base import Criterion
from core.records import CONVERSION_NOISE
from core.settings import Project
from core.subjects.registry import CRITERIA, CRITERION, LATER_PARAMETERS

JUDGES_NOTHING = {"project", "roles", "people", "areas", "stamp_patterns"}


def unsaid(project: Project, mark: str) -> frozenset[str]:
    """Criteria of type ``mark`` that are neither set nor declared not required, and parameters
    (as ``criterion.parameter``) that a set one lacks. Empty for a type that is not there.

    Nobody can sign a pile off while something that the program knows is unsaid, so what is unsaid
    in the settings of a sign-off came later.
    """
    kind = project.tables.types.get(mark)
    if kind is None:
        return frozenset()
    criteria = project.tables.criteria[kind.criteria]
    missing = {
        name
        for name in CRITERIA
        if getattr(criteria, name) is None and (kind.grouted or not CRITERION[name].grouted_alone)
    }
    for key in LATER_PARAMETERS:
        name, _, parameter = key.partition(".")
        criterion = getattr(criteria, name)
        if isinstance(criterion, Criterion) and getattr(criterion, parameter) is None:
            missing.add(key)
    return frozenset(missing)


def same_values(then: Project, now: Project) -> bool:
    """Whether every value by which ``then`` judges is the same in ``now``, which may give more.

    Numbers are the same when they differ by the noise of a conversion alone, so that a length is
    itself in any unit.
    """
    before, after = (
        tables.model_dump(exclude_unset=True, exclude=JUDGES_NOTHING)
        for tables in (then.tables, now.tables)
    )
    return _holds(before, after)


def _holds(then: Any, now: Any) -> bool:
    if isinstance(then, dict):
        return isinstance(now, dict) and all(
            key in now and _holds(value, now[key]) for key, value in then.items()
        )
    if isinstance(then, tuple | list) and isinstance(now, tuple | list):
        return len(then) == len(now) and all(map(_holds, then, now))
    if isinstance(then, float) and isinstance(now, float):
        return isclose(then, now, rel_tol=CONVERSION_NOISE)
    return bool(then == now)
