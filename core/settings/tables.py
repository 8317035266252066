"""The tables of project.toml as models: job, areas, people, sections, pile types, steel."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal
from zoneinfo import ZoneInfo, available_timezones

from pydantic import Field, field_validator, model_validator

from core import units
from core.criteria.base import StageWord, Table
from core.records import pattern_fault
from core.subjects.registry import CriteriaSet

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


_SCALES = ("full_scale_kpa", "resolution_kpa", "full_scale_nm", "resolution_nm")
Right = Literal["accept", "withdraw", "release"]


class Job(Table):
    """The job card: name, zone, the date that judges, and the unit system shown."""

    name: _Text
    number: str = ""
    site: str = ""
    note: str = ""
    time_zone: _Text
    assessed_on: date | None = None
    system: Literal["SI", "US"]

    @field_validator("time_zone")
    @classmethod
    def _known_zone(cls, zone: str) -> str:
        if zone not in available_timezones():
            raise ValueError("is not an IANA time zone, such as Europe/Oslo")
        return zone

    @property
    def timezone(self) -> ZoneInfo:
        """The zone as an object."""
        return ZoneInfo(self.time_zone)


class Person(Table):
    """Somebody who enters, checks or accepts, with their roles."""

    name: _Text
    roles: tuple[str, ...] = ()


class Role(Table):
    """What people in this role may do."""

    may: tuple[Right, ...] = ()


class Area(Table):
    """An area of the site."""

    name: _Text


def _documented(table: Table, *names: str) -> None:
    """Raises ValueError for a resistance of ``table`` that no document gives."""
    for name in names:
        given, document = getattr(table, f"{name}_kn"), getattr(table, f"{name}_document")
        if given is not None and not document:
            key = table.key_in_file(f"{name}_kn")
            raise ValueError(f"{key} needs {name}_document, which gives it")


class Section(Table):
    """A shaft section: its torque rating and ultimate resistances, each with its document.

    Ultimate resistances are of compression and tension alike, the lesser where they differ.
    """

    name: _Text
    shape: Literal["square", "round bar", "tube"] = Field(description="shape of the shaft")
    outside_diameter_mm: _Positive = Field(description="outside diameter or side of the shaft")
    wall_mm: _Positive | None = Field(None, description="thickness of the shaft's wall")
    rated_torque_nm: _Positive | None = Field(None, description="maximum torque of the section")
    rated_torque_document: str = Field("", description="document that gives that torque")
    ultimate_kn: _Positive | None = Field(None, description="ultimate resistance of the shaft")
    ultimate_document: str = ""
    coupling_ultimate_kn: _Positive | None = Field(
        None, description="ultimate resistance of a coupling"
    )
    coupling_ultimate_document: str = ""

    @model_validator(mode="after")
    def _by_documents(self) -> Section:
        _documented(self, "ultimate", "coupling_ultimate")
        return self


class HelixSet(Table):
    """Helices of a lead from the toe up, and their pitch."""

    helix_mm: Annotated[tuple[_Positive, ...], Field(min_length=1)]
    pitch_mm: _Positive = Field(description="pitch of the helices")
    top_helix_above_toe_mm: float = Field(
        0.0, ge=0, description="distance of the top helix from the toe, along the axis"
    )
    ultimate_kn: _Positive | None = Field(
        None, description="ultimate resistance of all helix plates together"
    )
    ultimate_document: str = ""

    @model_validator(mode="after")
    def _by_a_document(self) -> HelixSet:
        _documented(self, "ultimate")
        return self

    @property
    def largest_helix_mm(self) -> float:
        """Diameter of the largest helix."""
        return max(self.helix_mm)


class PileType(Table):
    """A type mark of the drawing."""

    name: _Text
    element: Literal["helical pile", "helical anchor", "grouted helical pile"] = Field(
        description="what is installed"
    )
    section: _Text = Field(description="shaft section, a key of sections in project.toml")
    helix_set: _Text = Field(description="helices, a key of helix_sets in project.toml")
    grouted: bool = Field(description="whether the type is grouted")
    last_stage: StageWord = Field(description="last stage of work that the type needs")
    criteria: _Text
    disc_mm: _Positive | None = Field(
        None, description="outside diameter of the disc or helix that opens the hole"
    )
    grout_from: Literal["first disc", "ground"] | None = Field(
        None, description="where the grout column begins"
    )
    predrilled_diameter_mm: _Positive | None = Field(
        None, description="diameter of the pre-drilled hole"
    )
    grouted_bore: bool = Field(False, description="whether the bore of the shaft is filled, too")
    grouted_length_mm: _Positive | None = Field(
        None, description="length of the grout column where the schedule gives none"
    )


class TorqueFactor(Table):
    """One row of the torque factor table. ``any`` in helix_set or ground fits every one."""

    id: _Text
    section: _Text
    direction: Literal["compression", "tension"]
    grouted: bool
    helix_set: _Text
    ground: _Text
    value: _Positive
    unit: Literal["1/m", "1/ft"]
    source: _Text
    edition: str = ""

    @property
    def torque_factor_per_m(self) -> float:
        """The factor in store units [1/m]."""
        return self.value * units.factor(self.unit, "1/m")

    @property
    def key(self) -> str:
        """Where project.toml has the factor, with its value where that is in another unit."""
        written = "" if self.unit == "1/m" else f": {self.value:g} {self.unit}"
        return f"torque_factors, {self.id}{written}"


class TorqueUncertainty(Table):
    """What is known of how well an instrument measures torque, from its certificate and dial.

    A gauge is told in kPa, an instrument that shows torque itself in N·m. Percent are of full
    scale.
    """

    instrument: _Text
    accuracy_class_percent: _Positive
    full_scale_kpa: _Positive | None = None
    resolution_kpa: _Positive | None = None
    full_scale_nm: _Positive | None = None
    resolution_nm: _Positive | None = None
    calibration_nm: Annotated[float, Field(ge=0)]
    coverage: _Positive
    source: _Text

    @model_validator(mode="after")
    def _of_pressure_or_of_torque(self) -> TorqueUncertainty:
        given = [name for name in _SCALES if getattr(self, name) is not None]
        if given not in (list(_SCALES[:2]), list(_SCALES[2:])):
            raise ValueError(
                f"torque_uncertainty {self.instrument}: give full_scale and resolution both in a "
                "unit of pressure for a pressure gauge, or both in a unit of torque for an "
                "instrument that shows torque (full_scale_kpa and resolution_kpa, or full_scale_nm "
                "and resolution_nm, of bare numbers)"
            )
        return self


class SafetyFactor(Table):
    """Safety factor on a service load, by direction and nature of the load."""

    direction: Literal["compression", "tension"]
    nature: Literal["sustained", "wind", "seismic"]
    value: Annotated[float, Field(ge=1)]
    clause: _Text


class Tables(Table):
    """The whole of project.toml."""

    project: Job
    roles: dict[str, Role] = Field(default_factory=dict)
    people: tuple[Person, ...] = ()
    areas: dict[str, Area] = Field(default_factory=dict)
    sections: dict[str, Section] = Field(default_factory=dict)
    helix_sets: dict[str, HelixSet] = Field(default_factory=dict)
    types: dict[str, PileType] = Field(default_factory=dict)
    component_kinds: dict[str, ComponentKind] = Field(default_factory=dict)
    steel_grades: tuple[SteelGrade, ...] = ()
    stamp_patterns: tuple[StampPattern, ...] = ()
    torque_factors: tuple[TorqueFactor, ...] = ()
    torque_uncertainty: tuple[TorqueUncertainty, ...] = ()
    safety_factors: tuple[SafetyFactor, ...] = ()
    criteria: dict[str, CriteriaSet] = Field(default_factory=dict)
