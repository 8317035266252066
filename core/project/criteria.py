"""What a criterion of each kind must say in project.toml. No field has a silent default.

A criterion is *set* (its fields with a clause), *not required* (a clause or reason), or missing;
missing is the finding *criterion not set*.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Discriminator, Field, Tag, field_validator

from core import words

_Share = Annotated[float, Field(gt=0, le=1)]
_Length = Annotated[int, Field(ge=0)]
StageWord = Literal[
    "on the schedule", "released", "set out", "installing", "stopped", "installed",
    "grouted", "cut off", "surveyed", "tested", "concreted over",
]  # fmt: skip
assert set(StageWord.__args__) == set(words.STAGE_ORDER)  # type: ignore[attr-defined]


class Table(BaseModel):
    """A table of project.toml: unknown keys are faults, values never change after reading."""

    model_config = ConfigDict(extra="forbid", frozen=True, str_strip_whitespace=True)


class NotRequired(Table):
    """The contract does not ask for this criterion; the text says where it says so."""

    not_required: Annotated[str, Field(min_length=1)]


class Criterion(Table):
    """Common to all criteria: the clause, and the stage and delay at which evidence falls due."""

    clause: Annotated[str, Field(min_length=1)]
    due: StageWord
    due_after_days: Annotated[int, Field(ge=0)] = 0
    decision_rule: Literal["simple"] = "simple"


class RequiredTorque(Criterion):
    """Final torque: the window, how it is averaged, and the cross-check of the schedule."""

    window_mm: Annotated[int, Field(gt=0)]
    interval_tolerance_mm: _Length
    window_rule: Literal["plain mean", "length-weighted mean"]
    cross_check_share: _Share


class DropAtEnd(Criterion):
    """Greatest fall from the greatest to the last reading of the window, as a share."""

    greatest_share: _Share


class Embedment(Criterion):
    """Which length the schedule's least embedment is compared with."""

    measure: Literal[
        "along the axis", "vertical cover over the top helix", "beyond a failure surface"
    ]


class StopReason(Criterion):
    """Reasons for stopping that need no decision."""

    accepted_reasons: Annotated[tuple[str, ...], Field(min_length=1)]


class AdvancePerTurn(Criterion):
    """Least advance per turn as a share of the helix pitch."""

    least_share_of_pitch: _Share


class ReadingGaps(Criterion):
    """Reading interval and what a gap above the final window means."""

    interval_mm: Annotated[int, Field(gt=0)]
    interval_tolerance_mm: _Length
    above_window: Literal["noted", "no evidence"]


class DisturbedGround(Criterion):
    """How far below an earlier toe torque counts again, in largest helix diameters."""

    largest_helix_multiple: Annotated[float, Field(gt=0)]


class PenetrationAfterStop(Criterion):
    """After how long a stop, how much new penetration is needed before readings count."""

    stop_h: Annotated[float, Field(gt=0)]
    largest_helix_multiple: Annotated[float, Field(gt=0)]


def _tag(value: Any) -> str:
    given = value if isinstance(value, dict) else getattr(value, "__dict__", {})
    return "not required" if "not_required" in given else "set"


_Not = Annotated[NotRequired, Tag("not required")]
_WAY = Discriminator(_tag)
Plain = Annotated[_Not | Annotated[Criterion, Tag("set")], _WAY]


class CriteriaSet(Table):
    """The criteria of one or more pile types, by finding kind."""

    required_torque: Annotated[_Not | Annotated[RequiredTorque, Tag("set")], _WAY] | None = None
    rated_torque: Plain | None = None
    embedment: Annotated[_Not | Annotated[Embedment, Tag("set")], _WAY] | None = None
    drop_at_end: Annotated[_Not | Annotated[DropAtEnd, Tag("set")], _WAY] | None = None
    stop_reason: Annotated[_Not | Annotated[StopReason, Tag("set")], _WAY] | None = None
    advance_per_turn: Annotated[_Not | Annotated[AdvancePerTurn, Tag("set")], _WAY] | None = None
    reading_gaps: Annotated[_Not | Annotated[ReadingGaps, Tag("set")], _WAY] | None = None
    calibration_in_force: Plain | None = None
    calibrated_range: Plain | None = None
    torque_factor: Plain | None = None
    disturbed_ground: Annotated[_Not | Annotated[DisturbedGround, Tag("set")], _WAY] | None = None
    penetration_after_stop: (
        Annotated[_Not | Annotated[PenetrationAfterStop, Tag("set")], _WAY] | None
    ) = None

    @field_validator("*", mode="before")
    @classmethod
    def _empty_is_not_set(cls, value: Any) -> Any:
        return None if value == {} else value


CRITERIA: tuple[str, ...] = tuple(CriteriaSet.model_fields)
