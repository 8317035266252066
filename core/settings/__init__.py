"""project.toml, read whole and checked: what the contract asks, and who may do what."""

from __future__ import annotations

import hashlib
import re
import tomllib
from dataclasses import dataclass
from functools import cached_property, lru_cache
from pathlib import Path
from typing import Any

import pandas as pd
from pydantic import ValidationError

from core import units
from core.criteria.base import Criterion, NotRequired
from core.criteria.columns import RowColumns
from core.criteria.template import criteria_text
from core.errors import NoProject, ProjectError, WrongUse
from core.records import ELEMENTS
from core.records.current_rows import CurrentRows
from core.settings import checks
from core.settings.frames import (
    COMPONENT,
    CRITERION_COLUMNS,
    FACTOR,
    GRADE,
    OF_TYPE,
    SAFETY,
    TYPE,
    UNCERTAINTY,
    framed,
    rows_of,
)
from core.settings.tables import Person, PileType, Tables
from core.subjects.registry import CRITERION, PARAMETERS
from core.units import quantities

PROJECT_FILE = "project.toml"
_BARE_QUANTITY = re.compile(
    r"""\s*([\w.-]+)\s*=\s*[“”]?([-+]?[0-9.]+\s*(?!e[-+]?[0-9])[A-Za-zµμ°%'][^"“”#]*)"""
)
_TEMPLATE = Path(__file__).with_name("new_project.toml")


@dataclass(frozen=True)
class Project:
    """The settings of one project: the checked tables and the text they were read from."""

    tables: Tables
    text: str

    @property
    def digest(self) -> str:
        """SHA-256 of the settings' text, in hexadecimal."""
        return hashlib.sha256(self.text.encode()).hexdigest()

    def person(self, name: str) -> Person:
        """The person called ``name`` (case folded). Raises WrongUse naming those registered."""
        for person in self.tables.people:
            if person.name.casefold() == name.strip().casefold():
                return person
        known = ", ".join(person.name for person in self.tables.people) or "nobody"
        raise WrongUse(
            f"{name} is not among the people in {PROJECT_FILE} (registered: {known}). Use one of "
            f"those names, or add {name} under [[people]] there."
        )

    def may(self, person: Person, right: str) -> list[str]:
        """Roles of ``person`` that carry ``right``."""
        roles = self.tables.roles
        return [role for role in person.roles if right in roles[role].may]

    @cached_property
    def types(self) -> CurrentRows:
        """One row per pile type: its section, its helix set, and what measures need of criteria.

        ``reason_status``: of the criterion of the reason for stopping.
        """
        rows = [
            {**self._type_row(mark, kind), **self._parameters(kind)}
            for mark, kind in self.tables.types.items()
        ]
        return rows_of(rows, TYPE)

    def _parameters(self, kind: PileType) -> dict[str, Any]:
        """Numbers and words that measures take from the criteria of a type, by their columns."""
        criteria = self.tables.criteria[kind.criteria]
        reason = getattr(criteria, "stop_reason")  # noqa: B009  criteria are declared elsewhere
        status = "not required" if isinstance(reason, NotRequired) else "set"
        found: dict[str, Any] = {"reason_status": status if reason else "not set"}
        for key, field, name, _ in PARAMETERS:
            criterion = getattr(criteria, key)
            found[name] = getattr(criterion, field) if isinstance(criterion, Criterion) else None
        return found

    def _type_row(self, mark: str, kind: PileType) -> dict[str, Any]:
        tables = {
            "types": kind,
            "sections": self.tables.sections[kind.section],
            "helix_sets": self.tables.helix_sets[kind.helix_set],
        }
        given = {name: getattr(tables[table], field) for name, (table, field) in OF_TYPE.items()}
        return {"pile_type": mark, **given}

    def criteria(self, name: str) -> pd.DataFrame:
        """One row per pile type for criterion ``name``: status, clause, due and its own fields.

        ``criterion_status`` is ``set``, ``not required``, ``not set``, or ``does not apply`` for
        a criterion of grout that a bare type is silent about; ``clause`` holds the reason when
        the criterion is not required. The same frame each time, so nobody writes to it.
        """
        if name not in self._frames:
            rows = self._criterion_rows(name)
            own = {field: None for row in rows for field in row if field not in CRITERION_COLUMNS}
            self._frames[name] = framed(rows, {**CRITERION_COLUMNS, **own})
        return self._frames[name]

    def criterion(self, name: str) -> RowColumns:
        """What ``criteria`` has of criterion ``name``, as columns; behind the types an empty row.

        The same columns each time. The last row serves piles whose type is unknown.
        """
        if name not in self._columns:
            self._columns[name] = RowColumns([*self._criterion_rows(name), {}])
        return self._columns[name]

    @cached_property
    def _frames(self) -> dict[str, pd.DataFrame]:
        return {}

    @cached_property
    def _columns(self) -> dict[str, RowColumns]:
        return {}

    def _criterion_rows(self, name: str) -> list[dict[str, Any]]:
        rows = []
        for mark, kind in self.tables.types.items():
            criterion = getattr(self.tables.criteria[kind.criteria], name)
            row: dict[str, Any] = {"pile_type": mark, "criterion_status": "not set", "clause": ""}
            if isinstance(criterion, NotRequired):
                row |= {"criterion_status": "not required", "clause": criterion.not_required}
            elif isinstance(criterion, Criterion):
                row |= {"criterion_status": "set", **criterion.model_dump()}
            elif CRITERION[name].grouted_only and not kind.grouted:
                row["criterion_status"] = "does not apply"
            rows.append(row)
        return rows

    def parameter_text(self, pile_type: str, criterion: str, field: str, system: str) -> str:
        """A parameter of a set criterion: a quantity as it is written, a number as shown."""
        kind = self.tables.types[pile_type]
        table = getattr(self.tables.criteria[kind.criteria], criterion)
        if table.is_quantity(field):
            return quantities.shown(table.as_written(field), field, system)
        return units.text(getattr(table, field), field, system)

    def as_entered(self, key: str) -> str:
        """``types.T1.disc_mm`` with its quantity as project.toml has it: ``types.T1.disc = 3 ft``.

        A bare number, and what is no key of a named table, stays as it is.
        """
        kind, _, rest = key.partition(".")
        name, _, field = rest.rpartition(".")
        table = getattr(self.tables, kind, {}).get(name) if name else None
        return f"{kind}.{name}.{table.as_entered(field)}" if table is not None else key

    def criteria_sets(self) -> pd.Series:
        """Name of the criteria set of each pile type, by type."""
        sets = {mark: kind.criteria for mark, kind in self.tables.types.items()}
        return pd.Series(sets, dtype="str")

    @cached_property
    def component_kinds(self) -> CurrentRows:
        """One row per kind of component: what its stamp is and how far it is traced."""
        rows = [
            {"component_kind": name, **kind.model_dump(exclude={"zinc_lot", "zinc_um", "origin"}),
             "zinc_lot_asked": kind.zinc_lot, "zinc_um_asked": kind.zinc_um,
             "origin_asked": ", ".join(kind.origin) or None}
            for name, kind in self.tables.component_kinds.items()
        ]  # fmt: skip
        return rows_of(rows, COMPONENT)

    @cached_property
    def steel_grades(self) -> CurrentRows:
        """One row per grade: its minimum strength and elongation, and the most of each element."""
        rows = [
            {"standard": row.standard, "grade": row.grade, "min_yield_mpa": row.yield_mpa,
             "min_tensile_mpa": row.tensile_mpa,
             "min_elongation_percent": row.elongation_percent,
             **{f"max_{ELEMENTS[symbol]}_percent": most
                for symbol, most in row.max_percent.items()}}
            for row in self.tables.steel_grades
        ]  # fmt: skip
        return rows_of(rows, GRADE)

    @cached_property
    def torque_factors(self) -> CurrentRows:
        """One row per row of the torque factor table, in store units."""
        rows = [{name: getattr(row, name) for name in FACTOR} for row in self.tables.torque_factors]
        return rows_of(rows, FACTOR)

    def torque_uncertainties(self) -> pd.DataFrame:
        """One row per instrument of which it is known how well it measures, in store units."""
        rows = [
            {"instrument_id": row.instrument, "class_share": row.accuracy_class_percent / 100,
             **row.model_dump()}
            for row in self.tables.torque_uncertainty
        ]  # fmt: skip
        return framed(rows, UNCERTAINTY)

    @cached_property
    def safety_factors(self) -> CurrentRows:
        """One row per direction and nature of load."""
        rows = [{name: getattr(row, name) for name in SAFETY} for row in self.tables.safety_factors]
        return rows_of(rows, SAFETY)


def project_template() -> str:
    """The text of a new project.toml: every key as a comment, no criterion set."""
    return _TEMPLATE.read_text(encoding="utf-8") + criteria_text(CRITERION, "first")


def load_project(folder: Path) -> Project:
    """The settings of the project in ``folder``.

    Raises ProjectError when the folder or its project.toml is missing or at fault; the message
    lists every fault with its key.
    """
    path = folder / PROJECT_FILE
    if not folder.is_dir():
        raise NoProject(f"{folder} is not a folder. Make one with: pilewright new {folder}")
    if not path.is_file():
        raise NoProject(f"{folder} holds no {PROJECT_FILE}. Make one with: pilewright new {folder}")
    return parse_project(_text_of(path), str(path))


def _text_of(path: Path) -> str:
    """The text of a settings file, without a byte order mark."""
    wrong = f"{path} is not in UTF-8. Open it in a text editor and save it in the encoding UTF-8."
    try:
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise ProjectError(wrong) from error
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise ProjectError(f"{path} cannot be read: {reason}.") from error
    if "\0" in text:  # UTF-16 without its mark
        raise ProjectError(wrong)
    return text


def parse_project(text: str, name: str = PROJECT_FILE) -> Project:
    """Settings from the text of a project.toml, the same object for the same text.

    Raises ProjectError listing every fault.
    """
    try:
        project, faults = _parsed(text)
    except tomllib.TOMLDecodeError as error:
        raise ProjectError(f"{name} is not valid TOML: {error}.", _unquoted(text)) from error
    except RecursionError as error:
        raise ProjectError(f"{name} nests tables or lists too deeply to be read.") from error
    except ValidationError as error:
        raise ProjectError(
            f"{name} has faults; correct them and run again:", _faults(error)
        ) from error
    if faults:
        raise ProjectError(f"{name} has faults; correct them and run again:", faults)
    return project


@lru_cache(maxsize=32)
def _parsed(text: str) -> tuple[Project, list[str]]:
    """Settings and what the checks find in them."""
    tables = Tables.model_validate(tomllib.loads(text), by_name=True)
    return Project(tables, text), checks.faults(tables)


def _unquoted(text: str) -> list[str]:
    """Lines with a quantity without quotation marks, each with what to write."""
    return [
        f'line {number}: write quotation marks around a quantity, {found[1]} = "{found[2].strip()}"'
        for number, line in enumerate(text.splitlines(), start=1)
        if (found := _BARE_QUANTITY.match(line))
    ]


def _faults(error: ValidationError) -> list[str]:
    faults = []
    for fault in error.errors():
        where = ".".join(str(part) for part in fault["loc"] if part not in ("set", "not required"))
        message = fault["msg"].removeprefix("Value error, ")
        given = "" if fault["type"] == "missing" else f" (given: {fault['input']!r})"
        faults.append(f"{where}: {message}{given}")
    return faults
