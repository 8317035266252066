"""Criteria of grout: asked of grouted types alone."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, model_validator

from core.criteria.base import Criterion, Length, Positive

_Count = Annotated[int, Field(gt=0)]


class GroutTake(Criterion):
    """Least take ratio of each lift and at each lift's end, and the ratio that is noted."""

    least_cumulative_ratio: Positive
    least_lift_ratio: Positive
    alarm_ratio: Positive


class GroutLiftsToToe(Criterion):
    """Widest gap between lifts from where the column begins to the toe."""

    max_gap_mm: Annotated[int, Field(gt=0)]


class GroutDensity(Criterion):
    """Band of the density of each batch."""

    least_kg_m3: Positive
    greatest_kg_m3: Positive

    @model_validator(mode="after")
    def _band(self) -> GroutDensity:
        if self.least_kg_m3 > self.greatest_kg_m3:
            raise ValueError("least_kg_m3 is above greatest_kg_m3")
        return self


class GroutFlow(Criterion):
    """Band of the time of efflux of each batch."""

    least_s: Positive
    greatest_s: Positive

    @model_validator(mode="after")
    def _band(self) -> GroutFlow:
        if self.least_s > self.greatest_s:
            raise ValueError("least_s is above greatest_s")
        return self


class GroutBatchAge(Criterion):
    """Greatest age of a batch when its placement ends."""

    greatest_h: Positive


class GroutSampling(Criterion):
    """How many piles a sample group may stand for, and how many specimens it has."""

    greatest_piles_per_group: _Count
    least_specimens_per_group: _Count
    every_day: bool


class GroutStrength(Criterion):
    """Least strength at an age, and how many days after that age the result is overdue."""

    least_mpa: Positive
    age_days: _Count
    overdue_after_days: Annotated[int, Field(ge=0)]


class GroutLevel(Criterion):
    """Greatest fall of the grout in the head that needs no top-up."""

    greatest_drop_mm: Length


class GroutSet(Criterion):
    """Hours after the end of a placement at which its grout has taken its initial set."""

    initial_set_h: Positive


class FreshNeighbours(Criterion):
    """How close to a pile grouted less than so many hours ago nobody works."""

    within_mm: Annotated[int, Field(gt=0)]
    least_h: Positive
