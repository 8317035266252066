"""Criteria of the as-built survey."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from core.criteria.base import Criterion, Length, Positive


class SurveyRecorded(Criterion):
    """At which stages a survey counts; the last of them is judged."""

    stages: Annotated[
        tuple[Literal["after installation", "after cut-off", "before concrete", "re-survey"], ...],
        Field(min_length=1),
    ]


class PlanOffset(Criterion):
    """Greatest offset in plan at cut-off level, radial or along each axis of the grid."""

    greatest_mm: Positive
    measured: Literal["radial", "per axis"]


class AxisAngle(Criterion):
    """Greatest angle between the as-built and the design axis."""

    greatest_deg: Positive


class HeadLevel(Criterion):
    """How far the head may stand above and below cut-off level."""

    greatest_above_mm: Length
    greatest_below_mm: Length
