"""What a criterion is: a table of project.toml with the kinds of finding that it leads to."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any, ClassVar, Literal, Self

from pydantic import (
    BaseModel,
    ConfigDict,
    Discriminator,
    Field,
    ModelWrapValidatorHandler,
    PrivateAttr,
    Tag,
    field_validator,
    model_validator,
)

from core import words
from core.criteria import quantities
from core.criteria.kinds import FindingKind

Positive = Annotated[float, Field(gt=0)]
Share = Annotated[float, Field(gt=0, le=1)]
Length = Annotated[int, Field(ge=0)]
Count = Annotated[int, Field(gt=0)]
Days = Annotated[int, Field(ge=0, le=36_500)]  # a hundred years; more is a slip
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
    _written: dict[str, Any] = PrivateAttr(default_factory=dict)
    _earlier: dict[str, str] = PrivateAttr(default_factory=dict)

    @model_validator(mode="wrap")
    @classmethod
    def _in_store_units(cls, given: Any, handler: ModelWrapValidatorHandler[Self]) -> Self:
        table, written, earlier = quantities.validated(cls, given, handler)
        table._written.update(written)
        table._earlier.update(earlier)
        return table

    def is_quantity(self, field: str) -> bool:
        """Whether project.toml has a quantity for ``field`` and no bare number."""
        return field in self._written

    def key_in_file(self, field: str) -> str:
        """The key that project.toml has for ``field``, or should have where it has none."""
        has_number = field in self.model_fields_set and not self.is_quantity(field)
        key = field if has_number else quantities.key_of(field)
        return self._earlier.get(key, key)

    def as_written(self, field: str) -> str:
        """The value of ``field`` as project.toml has it, such as ``3 ft``, or its bare number."""
        return quantities.text_of(self._written.get(field, getattr(self, field)))

    def as_entered(self, field: str) -> str:
        """The key of ``field`` with its quantity, ``window = 3 ft``; of a bare number the key."""
        key = self.key_in_file(field)
        return f"{key} = {self.as_written(field)}" if self.is_quantity(field) else key


class Later:
    """Marks a parameter that is newer than its criterion, so that older settings lack it.

    Such a parameter is optional, with None as its default and no other. While it is missing, what
    needs it is *no evidence* (``needs`` of a rule names it), and one item per criteria set.
    """


LATER = Later()


@dataclass(frozen=True)
class Feeds:
    """Marks a parameter that measures need, too: it reaches them as the column ``name``."""

    name: str


class NotRequired(Table):
    """The contract does not ask for this criterion; the text says where it says so."""

    not_required: Annotated[str, Field(min_length=1)]


class Criterion(Table):
    """Common to all criteria: the clause, and the stage and delay at which evidence falls due.

    A subclass is one criterion. Its fields are its parameters in project.toml; each function
    decorated with ``finding`` is a kind of finding. ``key`` is its name in project.toml, made from
    the name of the class; ``usual_due`` the stage that the template of a new project shows.
    ``grouted_only``: types without grout need not mention it. ``after``: key of the criterion that
    it follows in lists; empty: the one declared before it.
    """

    model_config = ConfigDict(ignored_types=(FindingKind,))
    key: ClassVar[str] = ""
    usual_due: ClassVar[StageWord] = "installed"
    grouted_only: ClassVar[bool] = False
    after: ClassVar[str] = ""
    findings: ClassVar[tuple[FindingKind, ...]] = ()

    clause: Annotated[str, Field(min_length=1)]
    due: StageWord
    due_after_days: Days = 0
    decision_rule: Literal["simple"] = "simple"

    @classmethod
    def __pydantic_init_subclass__(cls, **_: Any) -> None:
        cls.key = re.sub(r"(?<!^)(?=[A-Z])", "_", cls.__name__).lower()
        cls.findings = tuple(one for one in vars(cls).values() if isinstance(one, FindingKind))


class Guardable(Criterion):
    """A criterion whose comparison may mind the uncertainty of the measurement.

    ``guarded``: met and not met beyond the expanded uncertainty alone (JCGM 106); the clause that
    asks for it is told.
    """

    decision_rule: Literal["simple", "guarded"] = Field(  # type: ignore[assignment]
        "simple", description="guarded (JCGM 106) only with the clause that asks for it"
    )
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


class CriteriaTable(Table):
    """The criteria of one or more pile types, by key: each set, not required, or missing."""

    if TYPE_CHECKING:

        def __getattr__(self, name: str) -> Criterion | NotRequired | None: ...

    @field_validator("*", mode="before")
    @classmethod
    def _empty_is_not_set(cls, value: Any) -> Any:
        return None if value == {} else value
