"""The tables of project.toml about steel: kinds of component, grades, and how stamps are read."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, field_validator

from core.criteria.base import Table
from core.records import pattern_fault

_Text = Annotated[str, Field(min_length=1)]
_Positive = Annotated[float, Field(gt=0)]
_Percent = Annotated[float, Field(gt=0, le=100)]
Element = Literal["C", "Mn", "Si", "P", "S", "Cu", "Ni", "Cr", "Mo", "V", "Nb", "CE"]


class ComponentKind(Table):
    """A kind of steel component: what its stamp tells apart, and what the contract asks of it."""

    name: _Text
    stamp_is: Literal["piece", "lot"] = Field(
        description="whether a stamp is of one component or of a lot of them"
    )
    traceability: Literal[
        "piece", "heat or lot per pile", "lot per period", "declaration of conformity", "none"
    ] = Field(description="how far the contract traces a component")
    certificate_type: Literal["2.1", "2.2", "3.1", "3.2"] | None = Field(
        None, description="minimum type of certificate by EN 10204"
    )
    zinc_lot: bool = Field(False, description="whether the lot of the galvanizing is to be known")
    zinc_um: _Positive | None = Field(None, description="minimum mean thickness of the zinc")
    origin: tuple[_Text, ...] = Field((), description="countries in which the steel may be melted")
    clause: _Text


class SteelGrade(Table):
    """What the contract asks of a grade: minimum strength and maximum of each element."""

    standard: _Text
    grade: _Text
    yield_mpa: _Positive
    tensile_mpa: _Positive
    elongation_percent: _Percent | None = None
    max_percent: dict[Element, _Percent] = Field(default_factory=dict)
    source: _Text


class StampPattern(Table):
    """How the stamps of one supplier are read: a regular expression with named groups.

    Written as for RE2: no references back, no looking around, so that it always ends.
    """

    supplier: _Text
    pattern: _Text
    note: str = ""

    @field_validator("pattern")
    @classmethod
    def _reads(cls, pattern: str) -> str:
        if fault := pattern_fault(pattern):
            raise ValueError(f"cannot be read: {fault}; write for instance (?P<heat>[0-9A-Z]+)")
        return pattern
