"""The tables of project.toml about steel: kinds of component, grades, and how stamps are read."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, field_validator

from core.criteria import Table
from core.records import pattern_fault

_Text = Annotated[str, Field(min_length=1)]
_Positive = Annotated[float, Field(gt=0)]
_Percent = Annotated[float, Field(gt=0, le=100)]
Element = Literal["C", "Mn", "Si", "P", "S", "Cu", "Ni", "Cr", "Mo", "V", "Nb", "CE"]


class ComponentKind(Table):
    """A kind of steel component: what its stamp tells apart, and what the contract asks of it.

    ``zinc_um``: least mean thickness of the zinc; ``origin``: countries in which its steel may be
    melted.
    """

    name: _Text
    stamp_is: Literal["piece", "lot"]
    traceability: Literal[
        "piece", "heat or lot per pile", "lot per period", "declaration of conformity", "none"
    ]
    certificate_type: Literal["2.1", "2.2", "3.1", "3.2"] | None = None
    zinc_lot: bool = False
    zinc_um: _Positive | None = None
    origin: tuple[_Text, ...] = ()
    clause: _Text


class SteelGrade(Table):
    """What the contract asks of a grade: least strength, and most of each element where it says."""

    standard: _Text
    grade: _Text
    yield_mpa: _Positive
    tensile_mpa: _Positive
    elongation_percent: _Percent | None = None
    most_percent: dict[Element, _Percent] = Field(default_factory=dict)
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
