"""What every criterion says, and the two ways in which the project speaks about one."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Discriminator, Field, Tag, model_validator

from core import words

Positive = Annotated[float, Field(gt=0)]
Share = Annotated[float, Field(gt=0, le=1)]
Length = Annotated[int, Field(ge=0)]
StageWord = Literal[
    "on the schedule", "released", "set out", "installing", "stopped", "installed",
    "grouted", "cut off", "surveyed", "tested", "concreted over",
]  # fmt: skip
assert set(StageWord.__args__) == set(words.STAGE_ORDER)  # type: ignore[attr-defined]


class Table(BaseModel):
    """A table of project.toml: unknown keys are faults, values never change after reading."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, str_strip_whitespace=True, allow_inf_nan=False
    )


class Later:
    """Marks a parameter that is newer than its criterion, so that older settings lack it.

    Such a parameter is optional, with None as its default and no other. While it is missing, what
    needs it is *no evidence* (``needs`` of a rule names it), and one item per criteria set.
    """


LATER = Later()


class NotRequired(Table):
    """The contract does not ask for this criterion; the text says where it says so."""

    not_required: Annotated[str, Field(min_length=1)]


class Criterion(Table):
    """Common to all criteria: the clause, and the stage and delay at which evidence falls due."""

    clause: Annotated[str, Field(min_length=1)]
    due: StageWord
    due_after_days: Annotated[int, Field(ge=0)] = 0
    decision_rule: Literal["simple"] = "simple"


class Guardable(Criterion):
    """A criterion whose comparison may mind the uncertainty of the measurement.

    ``guarded``: met and not met beyond the expanded uncertainty alone (JCGM 106); the clause that
    asks for it is told.
    """

    decision_rule: Literal["simple", "guarded"] = "simple"  # type: ignore[assignment]
    decision_clause: str = ""

    @model_validator(mode="after")
    def _guarded_by_a_clause(self) -> Guardable:
        if self.decision_rule == "guarded" and not self.decision_clause:
            raise ValueError('decision_rule = "guarded" needs decision_clause, which asks for it')
        return self


def _tag(value: Any) -> str:
    given = value if isinstance(value, dict) else getattr(value, "__dict__", {})
    return "not required" if "not_required" in given else "set"


Not = Annotated[NotRequired, Tag("not required")]
WAY = Discriminator(_tag)
Plain = Annotated[Not | Annotated[Criterion, Tag("set")], WAY]
