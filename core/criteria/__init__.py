"""What a criterion of each kind must say in project.toml. No field has a silent default.

A criterion is *set* (its fields with a clause), *not required* (a clause or reason), or missing;
missing is the finding *criterion not set*.
"""

from __future__ import annotations

from typing import Annotated, Any, get_args

from pydantic import Tag, field_validator

from core.criteria.base import (
    WAY,
    Criterion,
    Later,
    Not,
    NotRequired,
    Plain,
    StageWord,
    Table,
)
from core.criteria.grout import (
    FreshNeighbours,
    GroutBatchAge,
    GroutDensity,
    GroutFlow,
    GroutLevel,
    GroutLiftsToToe,
    GroutSampling,
    GroutSet,
    GroutStrength,
    GroutTake,
)
from core.criteria.steel import LengthReconciliation
from core.criteria.survey import AxisAngle, HeadLevel, PlanOffset, SurveyRecorded
from core.criteria.torque import (
    AdvancePerTurn,
    DisturbedGround,
    DropAtEnd,
    Embedment,
    InstallationEvents,
    PenetrationAfterStop,
    RatedTorque,
    ReadingGaps,
    RequiredTorque,
    StopReason,
)


class CriteriaSet(Table):
    """The criteria of one or more pile types, by finding kind."""

    required_torque: Annotated[Not | Annotated[RequiredTorque, Tag("set")], WAY] | None = None
    rated_torque: Annotated[Not | Annotated[RatedTorque, Tag("set")], WAY] | None = None
    embedment: Annotated[Not | Annotated[Embedment, Tag("set")], WAY] | None = None
    drop_at_end: Annotated[Not | Annotated[DropAtEnd, Tag("set")], WAY] | None = None
    stop_reason: Annotated[Not | Annotated[StopReason, Tag("set")], WAY] | None = None
    advance_per_turn: Annotated[Not | Annotated[AdvancePerTurn, Tag("set")], WAY] | None = None
    reading_gaps: Annotated[Not | Annotated[ReadingGaps, Tag("set")], WAY] | None = None
    calibration_in_force: Plain | None = None
    calibrated_range: Plain | None = None
    torque_factor: Plain | None = None
    disturbed_ground: Annotated[Not | Annotated[DisturbedGround, Tag("set")], WAY] | None = None
    penetration_after_stop: (
        Annotated[Not | Annotated[PenetrationAfterStop, Tag("set")], WAY] | None
    ) = None
    events: Annotated[Not | Annotated[InstallationEvents, Tag("set")], WAY] | None = None
    grout_recorded: Plain | None = None
    grout_take: Annotated[Not | Annotated[GroutTake, Tag("set")], WAY] | None = None
    grout_lifts_to_toe: Annotated[Not | Annotated[GroutLiftsToToe, Tag("set")], WAY] | None = None
    grout_density: Annotated[Not | Annotated[GroutDensity, Tag("set")], WAY] | None = None
    grout_flow: Annotated[Not | Annotated[GroutFlow, Tag("set")], WAY] | None = None
    grout_batch_age: Annotated[Not | Annotated[GroutBatchAge, Tag("set")], WAY] | None = None
    grout_sampling: Annotated[Not | Annotated[GroutSampling, Tag("set")], WAY] | None = None
    grout_strength: Annotated[Not | Annotated[GroutStrength, Tag("set")], WAY] | None = None
    grout_level: Annotated[Not | Annotated[GroutLevel, Tag("set")], WAY] | None = None
    grout_set: Annotated[Not | Annotated[GroutSet, Tag("set")], WAY] | None = None
    fresh_neighbours: Annotated[Not | Annotated[FreshNeighbours, Tag("set")], WAY] | None = None
    survey_recorded: Annotated[Not | Annotated[SurveyRecorded, Tag("set")], WAY] | None = None
    survey_reviewed: Plain | None = None
    plan_offset: Annotated[Not | Annotated[PlanOffset, Tag("set")], WAY] | None = None
    axis_angle: Annotated[Not | Annotated[AxisAngle, Tag("set")], WAY] | None = None
    head_level: Annotated[Not | Annotated[HeadLevel, Tag("set")], WAY] | None = None
    string_recorded: Plain | None = None
    length_reconciliation: (
        Annotated[Not | Annotated[LengthReconciliation, Tag("set")], WAY] | None
    ) = None
    steel_traced: Plain | None = None
    steel_grade: Plain | None = None

    @field_validator("*", mode="before")
    @classmethod
    def _empty_is_not_set(cls, value: Any) -> Any:
        return None if value == {} else value


CRITERIA: tuple[str, ...] = tuple(CriteriaSet.model_fields)
OF_GROUT: tuple[str, ...] = (*(name for name in CRITERIA if name.startswith("grout")),
                             "fresh_neighbours")  # fmt: skip


def model_of(criterion: str) -> type[Criterion]:
    """The model of ``criterion`` when it is set."""
    parts = [CriteriaSet.model_fields[criterion].annotation]
    while parts:
        part = parts.pop()
        if isinstance(part, type) and issubclass(part, Criterion):
            return part
        parts.extend(get_args(part))
    raise LookupError(criterion)


# Parameters newer than their criterion, as ``criterion.parameter``.
LATER_PARAMETERS: tuple[str, ...] = tuple(
    f"{criterion}.{name}"
    for criterion in CRITERIA
    for name, field in model_of(criterion).model_fields.items()
    if any(isinstance(mark, Later) for mark in field.metadata)
)

__all__ = [
    "CRITERIA",
    "LATER_PARAMETERS",
    "OF_GROUT",
    "CriteriaSet",
    "Criterion",
    "NotRequired",
    "ReadingGaps",
    "RequiredTorque",
    "StageWord",
    "Table",
    "model_of",
]
